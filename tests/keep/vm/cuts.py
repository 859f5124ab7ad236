"""Power cuts on a real littlefs: micropython tests/keep/vm/cuts.py MODE SEED ACTIONS BLOCKS FIRST EVERY [COUNT].

One session of ACTIONS things done with the device is recorded, step of flash by step of flash. What flash holds after
any number of steps is then what a device that died there would find: a step is a program or an erase, and the one that
is cut has not happened, or by half. MODE:
    single   cut before step FIRST, FIRST + EVERY, ..., clean and half done; boot; check
    double   COUNT times: cut at a random step, cut again at a random step of the recovery, boot, check
    flip     COUNT times: flip one random bit in a random file of the last state, boot, check
    careless as single, with a save that removes the old file before it writes the new: the check must see losses
    alike    at FIRST, FIRST + EVERY, ...: run the session on a device that truly dies there, compare flash bit for bit
Prints one JSON object: what was tried, and the failures in words (10 at most).
"""

import gc
import json
import sys

sys.path.insert(0, ".")

from firmware.show import file_disk, file_format, file_store  # noqa: E402  the path comes first
from hal.disk import Disk  # noqa: E402
from tests.keep.vm import flash as chip  # noqa: E402
from tests.keep.vm.session import Session, World, bring_up, same_light  # noqa: E402

LATE_MS = 5000  # the stage's state may be so much older than the cut
NO_SPACE = 28


class Record:
    """One session: flash at its begin and end, its steps, and what had to be there at any of them."""

    def __init__(self, seed, actions, blocks, mtime):
        self.mtime = mtime
        self.seed = seed
        self.actions = actions
        self.start = chip.blank(blocks)
        self.log = []
        device = chip.Flash(self.start, self.log)
        self.play(device)
        self.end = device.whole()

    def play(self, device):
        """The session on a device. Errors: PowerCut."""
        self.done = []  # (steps, expected content) after each action
        self.on = []  # (time, the light that is on from then)
        self.refused = 0
        self.unkept = None  # the time when a full disk first could not keep the light or the open show, and said so
        chip.mount(device, self.mtime)
        try:
            world = World(Disk("/f"), device)
            world.watch = self.note_light
            session = Session(world, self.seed)
            self.note(world, session)
            for _ in range(self.actions):
                try:
                    session.act()
                except OSError as error:
                    if error.errno != NO_SPACE:
                        raise
                    self.refused += 1
                self.note(world, session)
            self.faults = world.shelf.faults
        finally:
            chip.unmount()

    def note(self, world, session):
        """After an action."""
        expected = session.expected()
        if self.done:
            last = self.done[-1][1]
            for ident in expected:  # the same bytes once only
                if last.get(ident) == expected[ident]:
                    expected[ident] = last[ident]
        self.done.append((world.flash.steps, expected))
        self.note_light(world)

    def note_light(self, world):
        """Note the light when it changes."""
        forgets = world.shelf.opened != world.shelf.settings["open"]
        if self.unkept is None and (forgets or any("cannot be kept" in fault for fault in world.shelf.faults)):
            self.unkept = world.now
        on = world.on()
        if not self.on or on != self.on[-1][1]:
            self.on.append((world.now, on))

    def contents(self, steps):
        """The contents that may be there after a cut: of the actions done, and with the one under way."""
        out = []
        for at, content in self.done:
            if at <= steps:
                out = [content]
            else:
                return out + [content]
        return out

    def lights(self, steps):
        """The lights that may come back after a cut."""
        now = self.log[steps][4] if steps < len(self.log) else self.on[-1][0]
        out = []
        if self.unkept is not None and now >= self.unkept - LATE_MS:
            return out
        for at, on in self.on:
            if at <= now - LATE_MS:
                out = [on]
            elif at <= now:
                out.append(on)
        return out


def boot(image, left=0, half=False, then=None):
    """Power up on an image: (device, world or None if it was cut, what `then` gave)."""
    device = chip.Flash(image, left=left, half=half)
    world = said = None
    try:
        chip.mount(device)
        try:
            world = World(Disk("/f"), device)
            said = then(world) if then else None
        finally:
            chip.unmount()
    except (chip.PowerCut, OSError):
        if not device.dead:
            raise
    return device, None if device.dead else world, said


def state(world):
    """What a device says after power-up: its content, the light that is on, the faults it found."""
    return world.content(), world.on(), list(world.shelf.faults)


def judge(image, contents, lights):
    """Power up and compare: (a reason or None, whether it booted, which of the contents it was)."""
    try:
        _device, _world, said = boot(image, then=state)
    except Exception as error:
        return "does not boot: %r" % error, False, None
    content, on, faults = said
    if faults:
        return "found damage: %s" % faults, True, None
    if content not in contents:
        return "content is neither: %s" % str(differs(content, contents))[:600], True, None
    lights = [light for light in lights or () if light[0] == on[0]]  # another show's light does not count
    if lights and not any(same_light(on, light) for light in lights):
        return "the light is none of the last 5 s: %s not %s" % (on, str(lights)[:400]), True, None
    return None, True, contents.index(content)


def differs(content, contents):
    """Where a content differs from the first that it might be."""
    want = contents[0]
    return [(k, content.get(k), want.get(k)) for k in sorted(set(content) | set(want)) if content.get(k) != want.get(k)]


class Tally:
    """What was tried and what failed."""

    def __init__(self):
        self.tried = self.lost = self.unbootable = 0
        self.why = []

    def add(self, where, reason, booted):
        self.tried += 1
        if reason:
            self.lost += booted
            self.unbootable += not booted
            if len(self.why) < 10:
                self.why.append("%s: %s" % (where, reason))


def images(record, cuts):
    """(steps, half, image) for each cut (steps, half), in rising order."""
    image, at = bytearray(record.start), 0
    for steps, half in cuts:
        while at < steps:
            apply(image, record.log[at], False)
            at += 1
        if not half:
            yield steps, half, image
        elif steps < len(record.log):
            block = record.log[steps][1] * chip.BLOCK
            kept = bytes(memoryview(image)[block : block + chip.BLOCK])
            apply(image, record.log[steps], True)
            yield steps, half, image
            image[block : block + chip.BLOCK] = kept


def apply(image, step, half):
    """One step of flash on an image."""
    _kind, block, off, data, _now = step
    chip.change(image, block * chip.BLOCK + off, data, half)


def dice(seed):
    """A function n -> 0..n-1, the same on every machine."""
    state = [seed]

    def roll(n):
        state[0] = (state[0] * 1103515245 + 12345) & 0x7FFFFFFF
        return (state[0] >> 8) % n

    return roll


def where(steps, half):
    return "cut before step %d%s" % (steps, ", half done" if half else "")


def single(record, tally, first, every, _count):
    """Cut everywhere."""
    cuts = [(n, half) for n in range(first, len(record.log) + 1, every) for half in (False, True)]
    for steps, half, image in images(record, cuts):
        reason, booted, _which = judge(image, record.contents(steps), record.lights(steps))
        tally.add(where(steps, half), reason, booted)


def double(record, tally, first, _every, count):
    """Cut at random, and again in the recovery or in the first things done after it."""
    roll = dice(record.seed + first)
    cuts = sorted([(roll(len(record.log)), bool(roll(2))) for _ in range(count)])
    for steps, half, image in images(record, cuts):
        again, reason, booted = cut_again(image, record.contents(steps), roll)
        tally.add("%s, again before step %d" % (where(steps, half), again), reason, booted)


def cut_again(image, contents, roll):
    """Power up on an image, go on, and lose power again at a random step: (step, reason or None, booted)."""
    device, _world, (before, after) = boot(image, then=before_and_after)
    if before not in contents or len(differs(before, [after])) > 1:
        return 0, "not as before, or going on changed more than a look", True
    again = 1 + roll(device.steps + 1)
    device, world, _said = boot(image, left=again, half=bool(roll(2)), then=go_on)
    reason, booted, _which = judge(device.whole(), [before, after] if world is None else [after], None)
    return again, reason, booted


def before_and_after(world):
    """The content found at power-up, and that after going on."""
    before = world.content()
    go_on(world)
    return before, world.content()


def go_on(world):
    """The first things done after a power-up: tidy up, look at everything, store a look."""
    for _ in range(4):
        world.shelf.tidy()
        world.show.looks.prove()
    try:
        world.stage.store("After the cut")
    except OSError as error:
        if error.errno != NO_SPACE:
            raise


def flip(record, tally, first, _every, count):
    """Flip a bit of a stored file: it must be found, named and survived."""
    roll = dice(record.seed + first)
    before = boot(record.end, then=look_at_all)[2]
    paths = boot(record.end, then=stored)[2]
    for _ in range(count):
        path = paths[roll(len(paths))]
        try:
            reason = found_and_named(path, before, boot(flipped(record.end, path, roll), then=look_at_all)[2])
            tally.add(path, reason, True)
        except Exception as error:
            tally.add(path, "does not boot: %r" % error, False)


def flipped(image, path, roll):
    """What flash holds when one bit of a file has changed."""
    device = chip.Flash(image)
    chip.mount(device)
    disk = Disk("/f")
    data = bytearray(disk.read(path))
    data[roll(len(data))] ^= 1 << roll(8)
    disk.write(path, data)
    chip.unmount()
    return device.whole()


def found_and_named(path, before, after):
    """A reason, or None: the damage was named, and nothing else changed."""
    content, on, faults = after
    if path.startswith("faults."):
        return None if content[""] != before[0][""] else "a damaged line was shown"
    named = [f for f in faults if path in f]
    if path.endswith(".log") and not faults and content == before[0]:
        return None  # in a record that was replaced: not needed, not read
    if path.startswith("state/") and not named and on == before[1]:
        return None  # not the newest: not needed, not read
    if not named or len(faults) != len(named):
        return "%d faults name it, %d in all" % (len(named), len(faults))
    wrong = [ident for ident, _now, _then in differs(content, [before[0]]) if ident and "shows/" + ident not in path]
    return "other shows changed: %s" % wrong if wrong else None


def look_at_all(world):
    """Read every file as its user would; then the state."""
    for ident in world.shelf.idents():
        looks = world.shelf._show(ident).looks
        looks.load()
        while looks.prove():
            pass
    faults = list(world.shelf.faults)
    return World(world.disk).content(), world.on(), faults  # as it is at the next power-up


def walk(disk, folder=""):
    """The paths of all files in a folder and in the folders in it."""
    for name in disk.list(folder):
        path = file_disk.join(folder, name)
        if name[-1] == "/":
            yield from walk(disk, path[:-1])
        else:
            yield path


def stored(world):
    """The files that are read: not the old copies, what was set aside, the originals before a migration."""
    return [path for path in walk(world.disk) if path[-1] not in "~+" and not path.endswith(".bad")
            and ".json.v" not in path and not path.startswith(file_disk.TRASH)]


def alike(record, tally, first, every, _count):
    """The session on a device that truly dies: what it leaves must be the image that was put together."""
    cuts = [(n, half) for n in range(first, len(record.log), every) for half in (False, True)]
    for steps, half, image in images(record, cuts):
        device = chip.Flash(record.start, left=steps + 1, half=half)
        try:
            record.play(device)
        except (chip.PowerCut, OSError):
            pass
        same = device.dead and device.whole() == image
        tally.add(where(steps, half), None if same else "flash differs", True)


def careless_save(disk, path, data, _old):
    """What file_write.py must not be like."""
    file_store.remove(disk, path)
    disk.write(path, data)


MODES = {"single": single, "double": double, "flip": flip, "alike": alike, "careless": single}


def main(mode, seed, actions, blocks, first, every, count=0):
    """Record the session, then try the cuts."""
    file_format.STEPS[0] = bring_up
    if mode == "careless":
        file_store.put_in_place = careless_save
    record = Record(seed, actions, blocks, mode != "alike")  # with the time of day no two runs are alike
    gc.collect()
    tally = Tally()
    MODES[mode](record, tally, first, every, count)
    print(json.dumps({
        "steps": len(record.log), "erases": sum([1 for s in record.log if s[0] == "e"]), "refused": record.refused,
        "tried": tally.tried, "lost": tally.lost, "unbootable": tally.unbootable, "why": tally.why}))


if __name__ == "__main__":
    main(sys.argv[1], *[int(n) for n in sys.argv[2:]])
