"""The continuity log: what light was on at which take. Appended to, never written over. Used by the Slate pages.

In the show's folder: slate/00.log, 01.log, ... of up to 16 KB each, so that nothing large is ever read or lost at once.
A record is _HEAD (mark, kind, length, CRC-32 of what follows and of kind and length) and its content, little-endian:

    LIGHT  the lamps: uid, start address, a check of kind and trims, the light, raw channels, the name
    TAKE   number, date, seconds since power-up, scene, letter, set-up, take, look, master, flags, exposure, where its
           LIGHT lies (part, offset), the note
    NOTE   number of a take, and what was added to it later

A light is written once for all the takes that have it. A cut tears the last record at most; after one, or after damage,
the next record begins a new part. Flash: a take is 55 bytes and its note, a light 22 a lamp and its name: 2,000 takes
of 12 lamps with a new light every eighth are about 200 KB; 16 parts of 16 KB are the most.
"""

import struct
from array import array
from binascii import crc32
from errno import ENOENT

from micropython import const

from firmware.show import file_disk, file_write
from firmware.show.address import at
from firmware.show.fixture_fingerprint import fingerprint
from firmware.show.fixture_light import EXTRAS, pack_six, to_pairs, unpack_six

MOST = 2000
PARTS = 16
PART_BYTES = const(16384)
LIGHT, TAKE, NOTE = 1, 2, 3
BLACK, EFFECTS = 1, 2  # flags: blackout; an effect was on (its settings are the show's)
_MARK = const(0xA5)
_HEAD = "<BBHI"
_HEAD_SIZE = const(8)
# What reading a record raises whose checksum is right and whose content is not (MicroPython has no struct.error).
_WRONG = (IndexError, ValueError, OSError, getattr(struct, "error", ValueError))
_TAKE = "<HHIHBHHHIBIHIHHBHB"
_LAMP = "<HHH"
_LONGEST = const(16000)  # of a record: 128 lamps with raw channels
_WINDOW = const(480)  # a part is read in pieces of this and the next one: to open its file takes milliseconds
NOTE_MOST = 40
# Places in the list that `entry` gives.
(NUMBER, DATE, SECONDS, SCENE, LETTER, SETUP, TAKE_NO, LOOK, MASTER, FLAGS, LUX10, STOP100, ISO, ANGLE10, FPS100, PART,
 OFFSET, TEXT) = range(18)


class Slate:
    """The slate of one show. `last`: the newest entry (a list, see NUMBER...), None on an empty slate. `faults`:
    damage, in words."""

    def __init__(self, show):
        self._disk = show.disk
        self._folder = show.folder + "/slate"
        self.faults = []
        self.last = None
        self._light = None  # (part, offset, CRC) of the newest light
        self._seen = bytearray(2 * _WINDOW)  # of a part, from _seen_at on
        self._seen_part = self._seen_at = self._seen_end = -1
        self._parts = self._there()
        self._end = 0  # bytes of the newest part
        if self._parts:
            self._end = self._disk.length(self._path(self._parts[-1]))
            self._find_last()

    def __len__(self):
        return self.last[NUMBER] if self.last else 0

    def log(self, entry, lamps):
        """Add a take. entry: list with DATE..FPS100 and TEXT filled in; NUMBER, PART and OFFSET are given here. lamps:
        bytes of `pack_lamps`. Errors: ValueError: full; OSError(ENOSPC): nothing was added."""
        if len(self) >= MOST:
            raise ValueError("The slate is full: %d takes. Export it, then clear it" % MOST)
        crc = crc32(lamps)
        if self._light is None or self._light[2] != crc:
            self._light = self._append(LIGHT, lamps) + (crc,)
        entry = list(entry)
        entry[NUMBER], entry[PART], entry[OFFSET] = len(self) + 1, self._light[0], self._light[1]
        text = entry[TEXT][:NOTE_MOST].encode()
        self._append(TAKE, struct.pack(_TAKE, *(entry[:TEXT] + [len(text)])) + text)
        self.last = entry

    def note(self, number, text):
        """Add words to a take. Errors: as log."""
        self._append(NOTE, struct.pack("<H", number) + text[:NOTE_MOST].encode())
        if self.last and self.last[NUMBER] == number:
            self.last[TEXT] = join(self.last[TEXT], text)

    def entries(self):
        """All takes, the newest first, with their notes. Yields None now and then: a place to do something else."""
        notes = {}
        for part in reversed(self._parts):
            offsets = array("H")
            for offset, _kind, _content in self._scan(part):
                offsets.append(offset)
                yield None
            for k in range(len(offsets) - 1, -1, -1):
                kind, content = self._record(part, offsets[k])
                if kind == NOTE:
                    number, text = struct.unpack_from("<H", content)[0], str(bytes(content[2:]), "utf-8")
                    notes[number] = join(text, notes.get(number, ""))
                elif kind == TAKE:
                    entry = _entry(content)
                    entry[TEXT] = join(entry[TEXT], notes.pop(entry[NUMBER], ""))
                    yield entry
                else:
                    yield None

    def lamps(self, entry):
        """The lamps of a take: list of (uid, name, address, check, light without raw channels, [(place of a raw
        channel, value)]). Errors: ValueError: damaged."""
        try:
            kind, content = self._record(entry[PART], entry[OFFSET])
            if kind == LIGHT:
                return list(unpack_lamps(content))
        except _WRONG:
            pass
        raise ValueError("The light of that take is damaged")

    def clear(self):
        """Begin a new slate; the old one waits for `put_back` until the next clear."""
        self._forget(self._folder + ".old")
        if self._parts:
            self._disk.rename(self._folder, self._folder + ".old")
        self._parts, self._end, self.last, self._light = [], 0, None, None
        self._seen_part = -1

    def put_back(self):
        """Undo of clear, where nothing was logged since. Errors: ValueError."""
        if self._parts:
            raise ValueError("The new slate has takes already: the old one stays in slate.old")
        self._disk.rename(self._folder + ".old", self._folder)

    # --- inside ---

    def _there(self):
        return [int(name[:2]) for name in self._disk.list(self._folder) if name.endswith(".log")]

    def _path(self, part):
        return "%s/%02d.log" % (self._folder, part)

    def _append(self, kind, content):
        """-> (part, offset). Errors: ValueError: no part left; OSError(ENOSPC): nothing was written."""
        size = _HEAD_SIZE + len(content)
        if not self._parts or self._end + size > PART_BYTES:
            self._new_part()
        part = self._parts[-1]
        file_write.with_room(self._disk, self._path(part), size, file_disk.RESERVE, lambda: True)
        head = struct.pack("<BH", kind, len(content))
        crc = crc32(content, crc32(head))
        try:
            self._disk.append(self._path(part), struct.pack(_HEAD, _MARK, kind, len(content), crc) + content)
        except OSError:
            self._parts, self._end = self._there(), PART_BYTES  # what was written of it stays behind the next part
            self._seen_part = -1
            raise
        self._seen_part = -1
        at, self._end = self._end, self._end + size
        return part, at

    def _new_part(self):
        part = self._parts[-1] + 1 if self._parts else 0
        if part >= PARTS:
            raise ValueError("The slate is full: %d KB. Export it, then clear it" % (PARTS * PART_BYTES // 1024))
        file_write.make_folder(self._disk, self._folder)
        self._parts.append(part)
        self._end = 0

    def _bytes(self, part, offset, count):
        """So many bytes of a part, fewer at its end."""
        if count > _WINDOW:
            found = bytearray(count)
            return found[:self._disk.read_part(self._path(part), offset, found)]
        if part != self._seen_part or not self._seen_at <= offset <= offset + count <= self._seen_end:
            self._seen_part, self._seen_at = part, offset - offset % _WINDOW
            self._seen_end = self._seen_at + self._disk.read_part(self._path(part), self._seen_at, self._seen)
        o = offset - self._seen_at
        return self._seen[o:min(o + count, self._seen_end - self._seen_at)]

    def _record(self, part, offset):
        """(kind, content) of the record there; (0, b"") where none is sound."""
        head = self._bytes(part, offset, _HEAD_SIZE)
        if len(head) < _HEAD_SIZE:
            return 0, b""
        mark, kind, length, crc = struct.unpack(_HEAD, head)
        if mark != _MARK or length > _LONGEST:
            return 0, b""
        content = self._bytes(part, offset + _HEAD_SIZE, length)
        if len(content) < length or crc32(content, crc32(head[1:4])) != crc or not _is_sound(kind, content):
            return 0, b""
        return kind, content

    def _scan(self, part):
        """(offset, kind, content) of the sound records of a part, in order. What lies between them is damage."""
        offset, size, bad = 0, self._disk.length(self._path(part)), False
        while offset < size:
            kind, content = self._record(part, offset)
            if kind:
                yield offset, kind, content
                offset += _HEAD_SIZE + len(content)
            else:
                bad = True
                offset = self._next_mark(part, offset + 1, size)
        if bad:
            fault = "Slate: a part of %02d.log is damaged and left out" % part
            if fault not in self.faults:
                self.faults.append(fault)

    def _next_mark(self, part, offset, size):
        """Where the next mark lies from offset on; the size where there is none."""
        while offset < size:
            chunk = self._bytes(part, offset, _WINDOW)
            at = chunk.find(b"\xa5")
            if at >= 0:
                return offset + at
            offset += max(1, len(chunk))
        return size

    def _find_last(self):
        """The newest take and light, and whether the newest part can be written on."""
        end = 0
        for part in reversed(self._parts):
            number = None
            for offset, kind, content in self._scan(part):
                if part == self._parts[-1]:
                    end = offset + _HEAD_SIZE + len(content)
                if kind == TAKE:
                    number = offset
                    self.last = _entry(content)
                elif kind == LIGHT:
                    self._light = (part, offset, crc32(content))
                elif self.last and self.last[NUMBER] == struct.unpack_from("<H", content)[0]:
                    self.last[TEXT] = join(self.last[TEXT], str(bytes(content[2:]), "utf-8"))
            if number is not None:
                break
        if end != self._end:
            self._end = PART_BYTES  # torn: the next record begins a new part

    def _forget(self, folder):
        for name in self._disk.list(folder):
            self._disk.remove(folder + "/" + name)
        try:
            self._disk.remove(folder)
        except OSError as e:
            if e.errno != ENOENT:
                raise


def put_back(show):
    """Undo of Slate.clear, where nothing was logged since. Errors: ValueError."""
    Slate(show).put_back()


def _is_sound(kind, content):
    """True for what can be a record's content; that of a light is judged when it is asked for."""
    try:
        if kind == TAKE:
            return 0 < _entry(content)[NUMBER] <= MOST
        if kind == NOTE:
            str(bytes(content[2:]), "utf-8")
            return len(content) >= 2
    except _WRONG:
        return False
    return kind == LIGHT


def _entry(content):
    entry = list(struct.unpack_from(_TAKE, content))
    at = struct.calcsize(_TAKE)
    entry[TEXT] = str(bytes(content[at:at + entry[TEXT]]), "utf-8")
    return entry


def pack_lamps(stage):
    """The light that is on, of all lamps, as a LIGHT record's content."""
    out, known = bytearray(), {}
    for f in stage.show.rig.fixtures:
        light = stage.light(f)
        pairs = to_pairs(light, f.personality.extras()) if light[EXTRAS] else ()
        out.extend(struct.pack(_LAMP, f.uid, f.address, fingerprint(f, known)))
        out.extend(pack_six(light))
        out.append(len(pairs))
        for pair in pairs:
            out.extend(struct.pack("<HH", *pair))
        name = f.name.encode()
        out.append(len(name))
        out.extend(name)
    return out


def unpack_lamps(content):
    """As Slate.lamps, one after another."""
    at = 0
    while at < len(content):
        uid, address, crc = struct.unpack_from(_LAMP, content, at)
        light = unpack_six(content, at + 6)
        count, pairs = content[at + 20], []
        at += 21
        for _ in range(count):
            pairs.append(struct.unpack_from("<HH", content, at))
            at += 4
        name = str(bytes(content[at + 1:at + 1 + content[at]]), "utf-8")
        at += 1 + content[at]
        yield uid, name, address, crc, light, pairs


def differences(rig, lamps):
    """What is not as it was when the light was logged, in words. lamps: of Slate.lamps."""
    now, out, known = {f.uid: f for f in rig.fixtures}, [], {}
    for uid, name, address, crc, _light, _pairs in lamps:
        f = now.pop(uid, None)
        if f is None:
            out.append("%s is missing" % name)
        elif crc != fingerprint(f, known):
            out.append("%s: kind or trim changed" % f.name)
        elif address != f.address:
            out.append("%s: at %s, now %s" % (f.name, at(address), at(f.address)))
    return out + ["%s was not there" % f.name for f in now.values()]


def join(words, more):
    """Two notes as one."""
    return words + ", " + more if words and more else words or more


def scene_text(entry):
    """Scene and set-up in words: "scene 12A, set-up 3"."""
    letter = chr(64 + entry[LETTER]) if entry[LETTER] else ""
    return "scene %d%s, set-up %d" % (entry[SCENE], letter, entry[SETUP])
