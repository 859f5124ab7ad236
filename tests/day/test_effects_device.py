"""Effects over the week and on the device: saved and back, their code, their pages, the heap."""


import pytest

from firmware import parts
from firmware.show import effect_settings, shelf_edit
from firmware.show.effect_fields import DEPTH, LAMPS, ON, SEED
from firmware.stage import effects
from sim import Bench
from tests.day.lit import Lit
from tests.vm import runner

# --- saved ---


def test_saved_and_back_next_week():
    lit = Lit("dim16")
    effect = lit.start("Flame", seed=77)
    lit.effects.add(effect)
    again, fault = effect_settings.load(lit.show)
    assert again == [effect] and fault is None and again[0][SEED] == 77
    first = lit.run(5)
    twin = Lit("dim16")
    twin.effects.start(again[0], 0)
    assert twin.run(5) == first


def test_what_is_no_effect_is_left_out_and_said():
    lit = Lit("dim16")
    good = effect_settings.new("Candle", [1])
    bad = [good[:7], ["Laser"] + good[1:], good[:2] + [101] + good[3:], good[:5] + [[1]] + good[6:], "x",
           good[:1] + [8] + good[2:], good[:4] + [0] + good[5:]]
    effect_settings.save(lit.show, [good] + bad)
    # Two are wrong by what their kinds alone know; the others file_check.py has left out already.
    assert effect_settings.load(lit.show) == ([good], "Effects: 2 left out")
    with pytest.raises(ValueError, match="keeps 16 effects"):
        effect_settings.save(lit.show, [good] * 17)


# --- the code of the kinds ---


def test_only_the_kinds_that_are_on_are_loaded():
    """Every way in which an effect ends closes its part; of two of one kind the second takes the module over."""
    lit = Lit("dim16", "full16")
    before = list(parts._open)

    def kinds():
        names = [part.module.__name__.rsplit(".", 1)[1] for part in parts._open if part not in before]
        assert ("flash_limiter" in names) == bool(lit.effects.limit)
        return [name for name in names if name != "flash_limiter"]

    lit.start("Flame")
    twin = lit.start("Flame", seed=2)
    pulse = lit.start("Pulse")
    assert kinds() == ["flame", "flame", "pulse"] and lit.effects.limit
    lit.effects.start(pulse, lit.now)  # begins anew
    assert kinds() == ["flame", "flame", "pulse"]
    lit.effects.add(twin)
    lit.effects.remove(twin)
    assert kinds() == ["flame", "pulse"]
    assert len(set(lit.run(2))) > 20
    lit.effects.stop(pulse, lit.now)
    lit.run(0.1)  # faded out
    assert kinds() == ["flame"]
    pulse[LAMPS] = [99]
    with pytest.raises(ValueError, match="choose others"):
        lit.effects.start(pulse, lit.now)
    assert kinds() == ["flame"]
    lit.effects.close()
    assert kinds() == [] and not lit.effects.running and not lit.effects.limit


@pytest.mark.parametrize("fails", ["Part", "Running"])
def test_no_memory_for_an_effect_is_said_and_leaves_nothing(monkeypatch, fails):
    def full(*args):
        raise MemoryError

    lit = Lit("full16")
    effect = lit.start("Flame", acts=7)
    lit.run(0.2)
    before = len(parts._open)
    monkeypatch.setattr(effects, fails, full)
    with pytest.raises(ValueError, match="No memory for Flame"):
        lit.effects.start(effect, lit.now)
    assert len(parts._open) == before - 2 and not lit.effects.running  # the kind's code and the limiter
    bare = Lit("full16")
    bare.run(0.2)
    assert lit.run(0.2)[-1] == bytes(bare.stage.frame)


# --- on the device ---


def test_another_show_lets_the_effects_code_go():
    with Bench() as b:
        before = list(parts._open)
        b.app.open("effects")
        b.push_turn(2)
        b.press()
        b.run(0.5)
        on = [part.module.__name__ for part in parts._open if part not in before]
        assert "firmware.light.effects.lightning" in on
        b.app.open_show(shelf_edit.new(b.app.shelf, "Other"))
        assert not [part for part in parts._open if ".effects" in part.module.__name__ and part not in before]
        assert b.app.stage.effects is None


def test_lightning_on_the_window_lamp():
    with Bench() as b:
        b.app.open("effects")
        b.push_turn(2)
        b.press()
        b.run(2)
        effect = b.app.stage.effects.saved[0]
        assert effect[LAMPS] == [b.app.show.rig.find("Window").uid] and effect[ON]
        assert b.lines[1].endswith(" flashes/s, limit on")
        b.cut_power()
        b.boot()
        b.run(0.5)
        assert [run.effect[0] for run in b.app.stage.effects.running] == ["Lightning"]
        b.app.open("effects")
        b.press()
        b.run(1.5)
        assert not b.app.stage.effects.running
        b.app.open("light")
        assert b.app.stage.effects is None


def test_the_first_effect_s_limiter_comes_while_no_page_is_there(monkeypatch):
    """On a chip with 64 lamps there is no room for it beside the page."""
    make, pages = parts.Part.make, []

    def noted(self, verb, *args):
        if verb == "Limiter":
            pages.append(b.app.page)
        return make(self, verb, *args)

    monkeypatch.setattr(parts.Part, "make", noted)
    with Bench() as b:
        b.app.open("effects")
        b.press()
        b.run(0.2)
        first, effects = b.app.page, b.app.stage.effects
        assert pages == [None] and b.app.page_name == "effects"
        assert first.item() is effects.saved[0] and effects.saved[0][ON] and effects.running
        b.turn(3)
        b.press()
        b.run(0.2)
        assert pages == [None] and b.app.page is first, "the second needs no room"
        assert first.item() is effects.saved[1] and len(effects.running) == 2


def test_a_new_effect_that_no_memory_is_left_for_is_in_no_list(monkeypatch):
    make = parts.Part.make

    def full(self, verb, *args):
        if verb == "Limiter":
            self.close()
            raise MemoryError
        return make(self, verb, *args)

    with Bench() as b:
        b.app.open("effects")
        b.run(0.1)
        monkeypatch.setattr(parts.Part, "make", full)
        b.press()
        b.run(0.1)
        assert b.app.page_name == "effects" and "No memory for Lightning" in b.app.screen.message
        assert b.app.stage.effects.saved == [] and not b.app.stage.effects.running


def test_the_limit_goes_only_after_the_caution_and_comes_back_by_itself():
    with Bench() as b:
        b.app.open("effects_flash_limit")
        b.run(0.2)
        assert any("seizures" in line for line in b.lines)
        b.press()  # the first row keeps it
        assert b.app.machines.effects().limited
        b.app.open("effects_flash_limit")
        b.turn(1)
        b.press()
        assert not b.app.machines.effects().limited
        b.run(0.2)
        assert any("warn everyone" in line for line in b.lines)
        b.app.open("light")
        b.app.open("effects")
        assert not b.app.machines.effects().limited  # accepted for today
        b.cut_power()
        b.boot()
        assert b.app.machines.effects().limited


def test_settings_are_dialled_and_saved():
    with Bench() as b:
        b.app.open("effects")
        b.press()
        b.hold()
        b.turn(1)
        b.press()
        b.turn(-10)
        b.press()
        assert effect_settings.load(b.app.show)[0][0][DEPTH] == 50
        b.press()
        b.turn(-5)
        b.tap("back")
        assert b.app.stage.effects.saved[0][DEPTH] == 50


def test_no_allocation_in_the_tick():
    said = runner.run("tests/day/vm_effects.py", heap="1m")
    assert said.rstrip().endswith("lock ok")


def test_no_allocation_in_the_tick_on_the_32_bit_vm():
    said = runner.run_wasm("tests/day/vm_effects.py")
    assert "lock ok" in said
