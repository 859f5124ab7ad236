"""`python -m host`: verbs are found by their module, errors are told without a traceback."""

import io

import pytest

from host import Refused, __main__, progress


@pytest.fixture
def folder(tmp_path, monkeypatch):
    """A host folder of our own: one verb, one verb named by VERB, one helper module."""
    (tmp_path / "greet.py").write_text('HELP = "say hello"\n')
    (tmp_path / "take_in.py").write_text('VERB = "import"\nHELP = "take a file in"\n')
    (tmp_path / "rope.py").write_text('LENGTH = "long"\n')
    monkeypatch.setattr(__main__, "__file__", str(tmp_path / "__main__.py"))
    return tmp_path


def test_verbs_are_the_modules_with_help(folder):
    assert __main__.verbs() == {"greet": ("greet", "say hello"), "import": ("take_in", "take a file in")}


def test_unknown_verb_names_the_known(folder, capsys):
    assert __main__.main(["sing"]) == 2
    assert "greet, import" in capsys.readouterr().err


def test_no_verb_prints_the_page_and_fails(folder, capsys):
    assert __main__.main([]) == 2
    assert "say hello" in capsys.readouterr().out


@pytest.mark.parametrize("raised, status, said", [
    (Refused("no board; plug one in"), 1, "greet: no board; plug one in"),
    (KeyboardInterrupt(), 130, "broken off"),
    (ModuleNotFoundError("No module named 'ropes'", name="ropes"), 1, "greet needs the Python package ropes"),
])
def test_errors_are_one_line(folder, monkeypatch, capsys, raised, status, said):
    class Verb:
        @staticmethod
        def main(_argv):
            raise raised

    monkeypatch.setattr(__main__.importlib, "import_module", lambda _name: Verb)
    assert __main__.main(["greet"]) == status
    told = capsys.readouterr().err
    assert said in told and "Traceback" not in told


def test_progress_without_a_terminal_is_one_line_a_tenth():
    out = io.StringIO()
    bar = progress.Progress(1000, "bytes", out)
    for _ in range(1000):
        bar.step(1)
    lines = out.getvalue().splitlines()
    assert len(lines) == 11
    assert lines[-1] == "[" + "#" * progress.WIDTH + "] 100 %  1,000/1,000 bytes"
