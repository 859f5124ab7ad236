"""The effects of a show: which there are, their settings in the units of the set, kept in effects.json.

Loaded by the pages, and for a moment by stage/effects.py, which plays them. An effect is a list [kind, acts, depth,
fade_ms, seed, [parameters], [uids], on]: `kind` a name of NAMES; `acts` a sum of LEVEL, WHITE, COLOUR; depth per cent;
the same seed gives the same run of light again.
"""

from firmware.show import file_store
from firmware.show.effect_fields import ACTS, COLOUR, DEPTH, FADE, KIND, LAMPS, LEVEL, ON, PARAMS, SEED, SEEDS, WHITE

MOST = 16
_LONGEST_MS = 600000
# How a parameter reads: its unit, "ms" shown in seconds, "way" and "source" by word.
WORDS = {"way": ("dawn", "dusk"), "source": ("sun", "sky")}

# A line a kind: name, acts on at first, may act on, 1 if it adds light and 0 if it takes from it; then each parameter:
# label, unit, low, high, at first, step. As text: as tuples it takes four times the memory. The figures at first are
# what the trade would call ordinary (common practice, no source) where models.py names none.
_KINDS = (
    "Lightning,1,3,1|Flashes a minute,,1,40,6,1|Strokes a flash,,1,10,4,1|Gap,ms,40,300,60,10\n"
    "Flame,3,7,0|Pace,%,25,300,100,5|Swing,%,5,100,60,5\n"
    "Candle,1,7,0|Swing,%,2,60,12,1|Draughts a minute,,0,30,4,1\n"
    "Television,3,7,0|Shot,ms,300,15000,3000,100|Contrast,%,5,100,60,5\n"
    "Failing tube,1,1,0|Faults a minute,,1,60,8,1|Flickers a fault,,1,12,4,1|Dark,ms,40,1000,80,20\n"
    "Passing cars,1,3,1|Cars a minute,,1,40,8,1|Pass,ms,500,10000,2500,100\n"
    "Welding,1,3,1|Arc,ms,200,10000,2500,100|Pause,ms,200,20000,4000,100|Rough,%,5,100,70,5\n"
    "Low sun,3,3,0|Takes,min,1,120,10,1|Way,way,0,1,0,1|Light of,source,0,1,0,1\n"
    "Pulse,1,7,0|Period,ms,200,60000,2000,100|Bright,%,5,95,50,5|Soft edge,%,0,100,50,5\n"
    "Colour walk,4,4,0|Round,ms,2000,600000,60000,1000|Wander,%,0,100,20,5\n"
)
# In the order of the page: the ones that are wanted in a hurry first.
NAMES = ("Lightning", "Flame", "Candle", "Television", "Failing tube", "Passing cars", "Welding", "Low sun", "Pulse",
         "Colour walk")


def kind(name):
    """(acts on at first, may act on, adds light, parameters (label, unit, low, high, at first, step)). Errors:
    KeyError: no such kind."""
    at = ("\n" + _KINDS).find("\n" + name + ",")
    if at < 0:
        raise KeyError(name)
    head, *rows = _KINDS[at:_KINDS.find("\n", at)].split("|")
    rows = [row.split(",") for row in rows]
    acts, may, adds = [int(n) for n in head.split(",")[1:]]
    return acts, may, adds, [tuple(row[:2] + [int(n) for n in row[2:]]) for row in rows]


def new(name, uids, seed=1):
    """An effect with the settings it has at first. Errors: KeyError: no such kind."""
    acts, _may, _adds, params = kind(name)
    return [name, acts, 100, 1000, seed, [p[4] for p in params], list(uids), 0]


def text(spec, value):
    """A parameter's value in words. spec: its row in kind()."""
    unit = spec[1]
    if unit in WORDS:
        return WORDS[unit][value]
    if unit == "ms":
        return "%g s" % (value / 1000)
    return "%d %s" % (value, unit) if unit else "%d" % value


def acts_on(acts):
    """LEVEL | WHITE -> "level + white"."""
    return " + ".join([word for bit, word in ((LEVEL, "level"), (WHITE, "white"), (COLOUR, "colour")) if acts & bit])


def load(show):
    """(effects, fault): as kept; what is not one is left out and said."""
    data, fault = file_store.load(show.disk, _path(show))
    found = (data or {}).get("effects", [])
    good = [effect for effect in found if sound(effect)][:MOST]
    if len(good) < len(found):
        fault = "Effects: %d left out" % (len(found) - len(good))
    return good, fault


def save(show, effects):
    """Keep them all. Errors: ValueError: too many; OSError(ENOSPC): nothing changed on the disk."""
    if len(effects) > MOST:
        raise ValueError("A show keeps %d effects: remove one first" % MOST)
    file_store.save(show.disk, _path(show), {"effects": effects})


def sound(effect):
    """True for an effect of a known kind with settings within their ranges."""
    if not isinstance(effect, list) or len(effect) != 8 or effect[KIND] not in NAMES:
        return False
    _acts, may, _adds, specs = kind(effect[KIND])
    numbers, params = effect[ACTS:PARAMS] + [effect[ON]], effect[PARAMS]
    if not all(isinstance(v, int) for v in numbers) or not isinstance(params, list) or len(params) != len(specs):
        return False
    if not all(isinstance(v, int) and s[2] <= v <= s[3] for s, v in zip(specs, params)):
        return False
    return (effect[ACTS] > 0 and not effect[ACTS] & ~may and 0 <= effect[DEPTH] <= 100
            and 0 <= effect[FADE] <= _LONGEST_MS and 0 < effect[SEED] <= SEEDS and isinstance(effect[LAMPS], list))


def _path(show):
    return show.folder + "/effects.json"
