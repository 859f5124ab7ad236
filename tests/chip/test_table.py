"""The page with the chip's figures: warned of where it is of other firmware, and written as it can be read again."""

import warnings

from tests.chip import figures, table
from tests.chip.report import Report


def test_the_table_is_of_this_firmware():
    """A warning and no failure: whoever changes firmware may have no image at hand."""
    words = table.stale()
    if words:
        warnings.warn(words, stacklevel=1)
    assert set(table.written()) == set(table.BOARDS), "docs/CHIP.md does not say which firmware it is of"


def test_a_page_says_which_firmware_it_is_of(tmp_path):
    path = tmp_path / "CHIP.md"
    path.write_text(table.page("v1.28.0", {}, 0, long=False), encoding="utf-8")
    assert table.written(path) == table.digests() and table.stale(path) == ""
    path.write_text(path.read_text(encoding="utf-8").replace(table.digests()["pico_oled"], "0" * 64), encoding="utf-8")
    assert "pico_oled" in table.stale(path) and "pico_tft" not in table.stale(path)
    assert "other packed firmware" in table.stale(tmp_path / "none.md")


def test_a_figure_that_misses_its_goal_is_marked(capsys):
    report = Report()
    report.figure("knob_ms_worst", ("pico_tft", "demo"), 29.94)
    report.figure("knob_ms_worst", ("pico_tft", "demo"), 36.6)  # the worse one counts
    report.figure("knob_ms_worst", ("pico_tft", "full"), 12.0)
    report.figure("heap_free_light", ("pico_tft", "full"), 70000)
    report.figure("heap_free_light", ("pico_tft", "full"), 60000)
    assert report.failed == 0
    assert report.misses() == [("knob_ms_worst", "pico_tft", "demo", 36.6),
                               ("heap_free_light", "pico_tft", "full", 60000)]
    assert capsys.readouterr().out.count("MISS") == 2
    row = next(line for line in figures.table(report.figures) if "single detents" in line)
    assert row.endswith("| <= 30 | **36.6** (missed) | 12.0 |")
    keys = figures.by_key(report.figures)
    assert keys["knob_ms_worst"] == 36.6 and keys["heap_free_light_full"] == 60000 and keys["go_ms_64"] is None


def test_a_figure_that_was_not_taken_is_a_failure(capsys):
    report = Report()
    report.figure("go_ms", ("pico_tft", "full"), None)
    assert report.failed == 1 and "FAIL" in capsys.readouterr().out
