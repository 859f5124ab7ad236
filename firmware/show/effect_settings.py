"""The effects of a show: their settings in the units of the set, saved in effects.json.

Loaded by the pages, and for a moment by stage/effects.py, which plays them. The kinds are in light/effects. An effect
is a list [kind, acts, depth, fade_ms, seed, [parameters], [uids], on]: `kind` a name of NAMES; `acts` a sum of LEVEL,
WHITE and COLOUR; depth per cent; the same seed gives the same run of light again.
"""

from firmware.light.effects.table import NAMES, find
from firmware.parts import Part
from firmware.show import file_store
from firmware.show.effect_fields import ACTS, COLOUR, DEPTH, FADE, KIND, LAMPS, LEVEL, ON, PARAMS, SEED, SEEDS, WHITE

MOST = 16
_LONGEST_MS = 600000
_ACTS = ((LEVEL, "level"), (WHITE, "white"), (COLOUR, "colour"))


def kind(name):
    """(acts on at first, may act on, parameters (label, unit, low, high, at first, step)) of a kind of effect; its
    module is loaded for a moment. Errors: KeyError: no such kind; ValueError: no memory for it."""
    part = None
    try:
        part = Part(find(name))
        found = part.module
        return _sum(found.ACTS), _sum(found.MAY), [_spec(row) for row in found.PARAMS.split("\n")]
    except MemoryError:
        raise ValueError("No memory for %s" % name) from None
    finally:
        if part:
            part.close()


def new(name, uids, seed=1):
    """An effect with the settings it has at first. Errors: as kind."""
    acts, _may, specs = kind(name)
    return [name, acts, 100, 1000, seed, [first for _, _, _, _, first, _ in specs], list(uids), 0]


def text(spec, value):
    """A parameter's value in words. spec: its row in kind()."""
    unit = spec[1]
    if "/" in unit:
        return unit.split("/")[value]
    if unit == "ms":
        return "%g s" % (value / 1000)
    return "%d %s" % (value, unit) if unit else "%d" % value


def acts_on(acts):
    """LEVEL | WHITE -> "level + white"."""
    return " + ".join([word for bit, word in _ACTS if acts & bit])


def load(show):
    """(effects, fault): as saved; what is no effect is left out, and the fault says so."""
    data, fault = file_store.load(show.disk, _path(show))
    found = (data or {}).get("effects", [])
    known = {}
    good = [effect for effect in found if sound(effect, known)][:MOST]
    if len(good) < len(found):
        fault = "Effects: %d left out" % (len(found) - len(good))
    return good, fault


def save(show, effects):
    """Save them all. Errors: ValueError: too many; OSError(ENOSPC): nothing changed on the disk."""
    if len(effects) > MOST:
        raise ValueError("A show keeps %d effects: remove one first" % MOST)
    file_store.save(show.disk, _path(show), {"effects": effects})


def sound(effect, known=None):
    """True for an effect of a known kind with settings within their ranges. known: what kind() said of those that were
    asked for before, {name: ...}; it grows, so that each is loaded once. Errors: ValueError: no memory for the kind."""
    if not isinstance(effect, list) or len(effect) != 8 or effect[KIND] not in NAMES:
        return False
    known = {} if known is None else known
    if effect[KIND] not in known:
        known[effect[KIND]] = kind(effect[KIND])
    _acts, may, specs = known[effect[KIND]]
    numbers, params = effect[ACTS:PARAMS] + [effect[ON]], effect[PARAMS]
    if not all(isinstance(v, int) for v in numbers) or not isinstance(params, list) or len(params) != len(specs):
        return False
    if not all(isinstance(v, int) and low <= v <= high for (_, _, low, high, _, _), v in zip(specs, params)):
        return False
    return (effect[ACTS] > 0 and not effect[ACTS] & ~may and 0 <= effect[DEPTH] <= 100
            and 0 <= effect[FADE] <= _LONGEST_MS and 0 < effect[SEED] <= SEEDS and isinstance(effect[LAMPS], list))


def _sum(words):
    """"level white" -> LEVEL | WHITE."""
    return sum([bit for bit, word in _ACTS if word in words])


def _spec(row):
    """A line of PARAMS -> (label, unit, low, high, at first, step)."""
    label, unit, *numbers = row.split(",")
    return (label, unit) + tuple([int(n) for n in numbers])


def _path(show):
    return show.folder + "/effects.json"
