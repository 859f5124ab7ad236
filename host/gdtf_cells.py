"""A lamp of several cells (a bar, a matrix) as fixtures of their own: a personality a cell, and what all share."""

from firmware.show.fixture_light import PARAMS
from firmware.show.personality_build import build
from host import Refused


def split(whole):
    """The parts of a personality, in slot order: [(words behind the lamp's name, offset of its first slot,
    Personality)]; those that all cells share are "shared". Errors: Refused: it has no cells, or their slots are mixed.
    """
    cells, shared = _groups(whole)
    if len(cells) < 2:
        raise Refused(f"{whole.name} has no cells: no light channel of it is there twice")
    parts = [(f"cell {number}", channels) for number, channels in enumerate(cells, 1)]
    inside = {slot for channels in cells for slot in _slots(channels)}
    runs = _runs(shared, inside)
    parts += [("shared" if len(runs) == 1 else f"shared {n}", channels) for n, channels in enumerate(runs, 1)]
    parts.sort(key=lambda part: min(_slots(part[1])))
    last = -1
    for words, channels in parts:
        slots = _slots(channels)
        if min(slots) <= last:
            raise Refused(f"{whole.name}: the slots of {words} lie between those of others, so that it cannot be "
                          "patched as a fixture of its own. Import it without --cells: all cells then do the same.")
        last = max(slots)
    return [(words, min(_slots(channels)), _part(whole, words, channels)) for words, channels in parts]


def _groups(whole):
    """([channels of each cell], channels that are there once). The nth of each light channel is the nth cell's."""
    light = {channel[0] for channel in whole.channels if channel[0] in PARAMS or channel[0] in whole.emitter_at}
    count = {does: sum(channel[0] == does for channel in whole.channels) for does in light}
    many = max(count.values(), default=1)
    cells, shared, seen = [[] for _ in range(many)], [], {}
    for channel in sorted(whole.channels, key=lambda one: one[1]):
        does = channel[0]
        if does in light and count[does] == many > 1:
            cells[seen.setdefault(does, 0)].append(channel)
            seen[does] += 1
        else:
            shared.append(channel)
    return (cells if many > 1 else []), shared


def _slots(channels):
    return [slot for channel in channels for slot in channel[1:3] if slot >= 0]


def _runs(channels, inside):
    """Channels in runs between which no cell has a slot."""
    runs, last = [], None
    for channel in channels:
        slots = _slots([channel])
        if last is None or any(slot in inside for slot in range(last, max(slots))):
            runs.append([])
        runs[-1].append(channel)
        last = max(slots)
    return runs


def _part(whole, words, channels):
    first = min(_slots(channels))
    moved = [(does, coarse - first, max(fine - first, -1), *rest) for does, coarse, fine, *rest in channels]
    emitters = whole.emitters if any(channel[0] in whole.emitter_at for channel in channels) else ()
    kind = "cell" if words.startswith("cell") else words.replace(" ", "-")
    ident, name = whole.id[:40 - len(kind) - 1], whole.name[:24 - len(kind) - 1]
    return build(f"{ident}-{kind}", f"{name} {kind}", moved, emitters)
