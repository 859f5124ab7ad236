"""GDTF (DIN SPEC 15800) to personalities: pure conversion of what pygdtf read, and safe opening of the file.

Attribute names are those of DIN SPEC 15800, annex A (from memory). What a personality can't say is told in notes.
"""

import lzma
import zipfile
import zlib
from xml.etree import ElementTree

import pygdtf

from firmware.light import emitters_faces
from firmware.show.personality_build import build
from firmware.universe import SLOTS
from host import Refused, names

MOST_FILES, MOST_BYTES, MOST_XML = 2000, 200_000_000, 10_000_000
FULL = 65535
_DAMAGE = (zipfile.BadZipFile, zlib.error, lzma.LZMAError, EOFError, OSError, RuntimeError, NotImplementedError,
           ValueError)  # the last: names that are not UTF-8
TURNS = ("Pan", "Tilt")
WHITE_NAMES = ("CTC", "CTO", "CTB")
# attribute suffix: (our emitter name, x, y, relative light). Typical LEDs: common practice, no source.
EMITTERS = {
    "R": ("red", 0.690, 0.305, 0.25), "G": ("green", 0.175, 0.700, 0.60), "B": ("blue", 0.138, 0.048, 0.08),
    "C": ("cyan", 0.110, 0.360, 0.35), "M": ("magenta", 0.380, 0.170, 0.30), "Y": ("yellow", 0.480, 0.510, 0.60),
    "RY": ("amber", 0.570, 0.425, 0.45), "GY": ("lime", 0.410, 0.560, 0.90), "GC": ("teal", 0.080, 0.560, 0.40),
    "BC": ("azure", 0.110, 0.190, 0.20), "BM": ("indigo", 0.170, 0.010, 0.03), "RM": ("pink", 0.540, 0.240, 0.25),
    "W": ("white", 0.3221, 0.3318, 1.00), "WW": ("warm", 0.4599, 0.4106, 0.90), "CW": ("cool", 0.3135, 0.3237, 1.00),
}
LONG = {"Red": "R", "Green": "G", "Blue": "B", "Cyan": "C", "Magenta": "M", "Yellow": "Y", "Amber": "RY",
        "White": "W"}


def load(path):
    """Open a GDTF file with pygdtf, after a look at what it would unpack to. Errors: Refused."""
    try:
        with zipfile.ZipFile(path) as archive:
            _look(archive, path)
    except FileNotFoundError:
        raise Refused(f"there is no file {path}") from None
    except _DAMAGE as error:
        raise Refused(f"{path} is no GDTF file: {error}. A GDTF file is a zip archive with description.xml in "
                      "it, as lamp makers offer for download.") from error
    try:
        return pygdtf.FixtureType(path)
    except Exception as error:  # whatever a library trips over in a stranger's file
        raise Refused(f"{path}: its description can't be read as GDTF: {type(error).__name__}: {error}") from error


def _look(archive, path):
    """Refuse an archive that is none of ours or made to harm, before anything of it is unpacked."""
    entries = archive.infolist()
    for entry in entries:
        name = entry.filename.replace("\\", "/")
        if name.startswith("/") or ".." in name.split("/") or ":" in name:
            raise Refused(f"{path}: the entry {entry.filename!r} points outside the archive: made to harm, not opened")
    if "description.xml" not in archive.namelist():
        raise Refused(f"{path} is a zip archive without description.xml: no GDTF file")
    size, xml = sum(entry.file_size for entry in entries), archive.getinfo("description.xml").file_size
    if len(entries) > MOST_FILES or size > MOST_BYTES or xml > MOST_XML:
        raise Refused(f"{path} would unpack to {size:,} bytes in {len(entries):,} files (description.xml {xml:,}); "
                      f"{MOST_BYTES:,}, {MOST_FILES:,} and {MOST_XML:,} are the limits: not opened")
    text = archive.read("description.xml")
    if b"<!DOCTYPE" in text or b"<!ENTITY" in text:
        raise Refused(f"{path}: description.xml defines entities, which GDTF does not need: not opened")
    try:
        root = ElementTree.fromstring(text.rstrip(b"\x00"))
    except (ElementTree.ParseError, ValueError, LookupError) as error:  # the last: an encoding that there is not
        raise Refused(f"{path}: description.xml is no XML: {error}") from error
    if root.tag != "GDTF" or root.find("FixtureType") is None:
        raise Refused(f"{path}: description.xml has no FixtureType: no GDTF file")


def modes(fixture):
    """Names of the modes, in the file's order."""
    return [mode.name for mode in fixture.dmx_modes]


def convert(fixture, mode):
    """One mode -> (Personality, notes). notes: what was left out or assumed, as sentences.
    Errors: Refused for a mode that no personality can hold (0 or more than 512 slots)."""
    try:
        return _Mode(fixture, mode).personality()
    except Refused:
        raise
    except Exception as error:  # as in load: the library reads some of it only now
        raise Refused(f"mode {mode.name!r} can't be read as GDTF: {type(error).__name__}: {error}") from error


def places(mode):
    """What the makers call the places of wheels and other steps: {attribute, as a raw channel's name: [(slot value
    0-255 from which it holds, name)]}. Where a name stands for nothing, it is left out."""
    found = {}
    for channel in mode.dmx_channels:
        for logical in channel.logical_channels:
            for function in logical.channel_functions:
                does = str(logical.attribute or "").lower()
                rows = [(round(_share(one.dmx_from) * 255), one.name) for one in function.channel_sets if one.name]
                found.setdefault(does, []).extend(rows)
    return {does: sorted(set(rows)) for does, rows in found.items() if len(rows) > 1}


class _Mode:
    """One mode being read."""

    def __init__(self, fixture, mode):
        self.fixture = fixture
        self.mode = mode
        self.notes = []
        self.channels = []
        self.emitters = {}  # our name: (name, x, y, out or None)
        self.typical = {}  # our name: typical out

    def personality(self):
        channels = self._of_first_break()
        for channel in channels:
            self._read(channel)
        self._settle_emitters()
        self._settle_names()
        self._settle_whites()
        self._last_slot(channels)
        ident = _slug(f"{self.fixture.manufacturer or ''} {self.fixture.name or ''} {self.mode.name or ''}")
        name, lost = names.written(f"{names.written(self.fixture.name or '')[0] or 'Lamp'} {self.mode.name or ''}")
        if lost:
            self.notes.append(f"the device has no sign for {lost}: left out of the name")
        name = name[:24].strip()
        try:
            made = build(ident, name, self.channels, tuple(self.emitters.values()))
        except ValueError as error:
            raise Refused(f"mode {self.mode.name!r}: {error}") from error
        return made, self.notes

    def _of_first_break(self):
        """Channels that have slots, at the first start address; refuses a mode that has too few or too many."""
        with_slots = [channel for channel in self.mode.dmx_channels if channel.offset]
        without = len(self.mode.virtual_channels)
        if without:
            self.notes.append(f"{without} virtual channels without slots left out")
        breaks = sorted({channel.dmx_break for channel in with_slots}, key=str)
        if len(breaks) > 1:
            self.notes.append(f"has {len(breaks)} start addresses; only the first is carried: patch the others as raw")
        found = [channel for channel in with_slots if channel.dmx_break == breaks[0]]
        slots = max((max(channel.offset) for channel in found), default=0)
        if not 1 <= slots <= SLOTS:
            raise Refused(f"mode {self.mode.name!r} has {slots} slots; 1 to {SLOTS} can be patched")
        return sorted(found, key=lambda channel: min(channel.offset))

    def _read(self, channel):
        logical = channel.logical_channels[0]
        attribute = str(channel.attribute or "NoFeature")
        function = _main_function(channel, attribute)
        coarse, fine = channel.offset[0] - 1, channel.offset[1] - 1 if len(channel.offset) > 1 else -1
        if len(channel.offset) > 2:
            self.notes.append(f"{attribute}: its bytes after the second stay at rest")
        does, low, high = self._does(attribute, function)
        if does is None:
            return
        others = sum(len(one.channel_functions) for one in channel.logical_channels) - 1
        if others:
            self.notes.append(f"{attribute}: {others} more function{'s' * (others > 1)} of slot {coarse + 1} left out")
        if function.mode_master and function.mode_master.str_link:
            self.notes.append(f"{attribute}: depends on {function.mode_master.str_link}, which is not watched")
        if str(function.dmx_invert) == "Yes":
            low, high = high, low
        snap = 1 if str(logical.snap) in ("Yes", "On") else 0
        rest = _scaled(function.default, channel.default)
        if attribute.startswith("Shutter"):
            self.notes.append(f"{attribute} rests at {rest * 255 // FULL}: if the lamp stays dark, move this one first")
        self.channels.append((does, coarse, fine, low, high, rest, snap))

    def _does(self, attribute, function):
        """(does, low, high) of an attribute: (None, 0, 0) where nothing is to be patched."""
        low, high = _span(function)
        if attribute == "NoFeature":
            return None, 0, 0
        if attribute in ("Dimmer", "HSB_Brightness"):
            return "level", *((0, 1) if high > low else (1, 0))
        if attribute in WHITE_NAMES and 1000 <= min(low, high) < max(low, high) <= 20000:
            return "cct", low, high
        if attribute == "Tint" and low != high:
            return "duv", *self._duv(low, high)
        if attribute == "HSB_Hue" and low != high:
            return "hue", *((low, high) if max(low, high) > 1 else (low * 360, high * 360))
        if attribute == "HSB_Saturation" and low != high:
            return "sat", *((low, high) if max(low, high) <= 1 else (low / 100, high / 100))
        if attribute.startswith(("ColorAdd_", "ColorRGB_")):
            return self._emitter(attribute, function)
        return self._raw(attribute, function)

    def _duv(self, low, high):
        if max(abs(low), abs(high)) <= 0.05:
            return low, high
        self.notes.append(f"Tint: {low:g} to {high:g} is no Duv; -0.02 to +0.02 assumed: trim it by a colour meter")
        return (-0.02, 0.02) if high > low else (0.02, -0.02)

    def _emitter(self, attribute, function):
        suffix = attribute.split("_", 1)[1]
        known = EMITTERS.get(LONG.get(suffix, suffix))
        if known is None:
            return self._raw(attribute, function)
        found = self._measured(function) or self._coloured(attribute)
        if found is None:
            self.notes.append(f"{attribute}: the file gives no colour; x {known[1]}, y {known[2]} assumed (typical)")
            found = (*known[1:3], None)
        self.emitters[known[0]] = (known[0], *found)
        self.typical[known[0]] = known[3]
        return known[0], 0, 1

    def _measured(self, function):
        """xy and output of the emitter that the function links to, or None."""
        link = str(function.emitter.str_link) if function.emitter and function.emitter.str_link else None
        for emitter in self.fixture.emitters:
            if emitter.name == link and emitter.color and emitter.color.y:
                return emitter.color.x, emitter.color.y, emitter.color.Y or None
        return None

    def _coloured(self, attribute):
        for one in self.fixture.attributes:
            if one.name == attribute and one.color and one.color.y:
                return one.color.x, one.color.y, None
        return None

    def _raw(self, attribute, function):
        name, low, high = attribute.lower(), function.physical_from.value or 0, function.physical_to.value
        turns = [round(end) for end in _span(function)]  # degrees, whole ones as files of shows have them
        if attribute in TURNS and turns[0] != turns[1]:
            self.notes.append(f"{attribute}: carried as the raw channel {name!r}, {turns[0]} to {turns[1]} degrees")
            return name, *turns
        said = "" if high is None or (low, high) == (0, 1) else f" (physical {low:g} to {high:g})"
        self.notes.append(f"{attribute}{said}: carried as the raw channel {name!r}")
        return name, 0, 255

    def _settle_emitters(self):
        """Outputs relative to the strongest; sets that can't be mixed become raw channels."""
        if not self.emitters:
            return
        outs = self._outputs()
        most = max(outs.values())
        mixed = {name: (name, round(x, 4), round(y, 4), max(round(outs[name] / most, 4), 0.0001))
                 for name, (_, x, y, _out) in self.emitters.items()}
        try:
            emitters_faces.prepare(tuple(mixed.values()))
        except ValueError as error:
            self.notes.append(f"its emitters can't be mixed ({error}): each is carried as a raw channel")
            mixed = {}
        self.emitters = mixed

    def _outputs(self):
        """Light of each emitter at full, in one unit: the file's, and typical ones where it has none."""
        given = {name: one[3] for name, one in self.emitters.items() if one[3]}
        if len(given) > 1 and len(set(given.values())) == 1:
            given = {}  # a figure that was never filled in
        missing = [name for name in self.emitters if name not in given]
        if missing:
            self.notes.append(f"the file gives no output for {', '.join(missing)}: typical ones assumed; measure them")
        scale = sum(out / self.typical[name] for name, out in given.items()) / len(given) if given else 1
        return {name: given.get(name, self.typical[name] * scale) for name in self.emitters}

    def _settle_whites(self):
        """Where emitters make the white, channels that would do so as well are left to the user."""
        for at, channel in enumerate(self.channels):
            if self.emitters and channel[0] in ("cct", "duv", "hue", "sat"):
                self.notes.append(f"{channel[0]}: the emitters make white and colour; this slot is a raw channel")
                self.channels[at] = (channel[0] + " slot", *channel[1:3], 0, 255, *channel[5:])

    def _settle_names(self):
        """Raw channels get names of their own; channels of the same light (cells) follow together."""
        seen = {}
        for at, channel in enumerate(self.channels):
            does = channel[0]
            seen[does] = seen.get(does, 0) + 1
            light = does in ("level", "cct", "duv", "hue", "sat") or does in self.emitters
            if seen[does] > 1 and not light:
                self.channels[at] = (f"{does} {seen[does]}", *channel[1:])
        cells = max((count for does, count in seen.items() if does in self.emitters or does == "level"), default=1)
        if cells > 1:
            self.notes.append(f"{cells} cells: all do the same")

    def _last_slot(self, channels):
        """Keep the mode's length where its last slots do nothing."""
        last = max(max(channel.offset) for channel in channels)
        held = [slot for channel in self.channels for slot in channel[1:3]]
        if last - 1 not in held:
            self.channels.append(("unused", last - 1, -1, 0, 255, 0, 1))
            self.notes.append(f"slot {last} does nothing that is carried; it is kept at 0")


def _main_function(channel, attribute):
    """The function that the channel is patched for: the initial one, or the first of its attribute."""
    functions = [function for logical in channel.logical_channels for function in logical.channel_functions]
    wanted = str(channel.initial_function.str_link) if channel.initial_function else ""
    for function in functions:
        if wanted and wanted.rpartition(".")[2] == function.name:
            return function
    return next((one for one in functions if str(one.attribute) == attribute), functions[0])


def _span(function):
    """Physical value at slot 0 and at full, carried on in a line from the function's own part of the slot."""
    low, high = function.physical_from.value or 0.0, function.physical_to.value
    high = 1.0 if high is None else high
    start, end = _share(function.dmx_from), _share(function.dmx_to)
    if end <= start:
        return low, high
    step = (high - low) / (end - start)
    return low - step * start, high + step * (1 - end)


def _share(value):
    """A DmxValue as a share of its full range: 0..1; 0 where it says that it has no bytes."""
    return value.value / ((1 << 8 * value.byte_count) - 1) if value.byte_count > 0 else 0


def _scaled(*values):
    """The first DmxValue that is not zero, as 0..65535."""
    found = next((value for value in values if value is not None and value.value), None)
    return min(FULL, round(_share(found) * FULL)) if found else 0


def _slug(words):
    """Letters and digits joined by dashes, 40 at most."""
    clean = "".join(letter if letter.isalnum() and letter.isascii() else " " for letter in words.lower())
    return "-".join(clean.split())[:40].strip("-") or "lamp"
