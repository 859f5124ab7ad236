"""RDM (ANSI E1.20) on the whole device, virtual time: how long a search takes, what the lights see of it, and whether
flipped bits ever come through."""

import random

import boards
from firmware.wire import rdm_pids
from firmware.wire.rdm_talk import Talk
from host import pack
from sim import Bench
from sim.play import STEP_MS
from sim.rdm_lamps import Cable, Lamp

_EXCHANGES = 1000
_FLIPS = 0.01  # share of packets, both ways, with one bit wrong
_LONG_US = 120_000_000  # a search that takes longer is broken off


def figures():
    """found_N_s: seconds until a search for N lamps is over. gap_ms_discovering, gap_ms_worst: the most from one DMX512
    packet's break to the next, while searching, and also while lamps are taken and set. refresh_hz_worst: packets in
    the worst second. wrong: exchanges of 1,000 with flipped bits that ended in a value that nobody sent."""
    small, few_s, gap, hz = search(32, True)
    large, many_s, large_gap, large_hz = search(200, False)
    exchanges, wrong, retried = flipped()
    files = [(path, source) for path, source in pack.shipped(boards.load("pico_tft")).items()
             if "rdm" in path or path.endswith("personality_found.py")]
    size = sum(len(pack.compile_one(path, source, pack.ARCH["rp2040"], True)) for path, source in files)
    return {
        "found_32_s": few_s, "found_200_s": many_s, "found_32": small, "found_200": large,
        "refresh_hz_worst": min(hz, large_hz), "gap_ms_discovering": max(gap[0], large_gap[0]),
        "gap_ms_worst": max(gap[1], large_gap[1]), "exchanges": exchanges, "wrong": wrong, "retried": retried,
        "flash_bytes": size, "flash_blocks": -(-size // 4096),
        "note": f"steps of {STEP_MS} ms; a checksum that is a sum always sees one flipped bit, two may cancel each "
                "other; the encoded UID refuses, it mends nothing; flash: bytecode before it is packed",
    }


def search(count, setting):
    """A search for so many lamps, and, if asked, all of them taken into the rig and set -> (found, seconds, (worst gap
    searching, worst gap of all) in ms, packets in the worst second)."""
    dice = random.Random(count)
    uids = {dice.randrange(0x7FF100000000, 0x7FF1FFFFFFFF) for _ in range(count // 2)}
    uids |= {0x7FF600000100 + n for n in range(count - len(uids))}
    starts = {}
    with Bench(show=None) as b:
        b.line.cable = Cable([Lamp(uid, label=f"Lamp {n}") for n, uid in enumerate(sorted(uids))], count)
        b.app.open("rig")
        b.run(0.5)
        b.app.open("rdm")
        began = b.clock.us()
        lamps = b.app.page.lamps
        while lamps.searching and b.clock.us() - began < _LONG_US:
            follow(b, starts)
        seconds = (b.clock.us() - began) / 1e6
        found = len(lamps.search.found) if set(lamps.search.found) <= uids else -1
        searching = gaps(starts)
        for at in (0, 1) if setting else ():
            b.turn(at - b.app.page.at)
            b.press()
            while lamps.link.busy or b.app.page.at != at or not b.app.screen.message:
                follow(b, starts)
            follow(b, starts, 300)
        found = found if not setting or all(f.ticked() for f in b.app.show.rig.fixtures) else -1
    return found, round(seconds, 1), (round(max(searching), 2), round(max(gaps(starts)), 2)), worst_second(starts)


def follow(b, starts, steps=40):
    """Let time pass, and note when packets began."""
    for _ in range(steps):
        b.step()
    for start, _slots in b.line.packets:
        starts[start] = True


def gaps(starts):
    """ms from break to break."""
    found = sorted(starts)
    return [(later - earlier) / 1000 for earlier, later in zip(found, found[1:], strict=False)]


def worst_second(starts):
    """The fewest packets that began in any second after the first."""
    found = sorted(starts)
    return min(len([s for s in found if at <= s < at + 1_000_000])
               for at in range(found[0] + 1_000_000, found[-1] - 1_000_000, 250_000))


def flipped():
    """Random reads and writes with flipped bits -> (how many, how many ended in a value that nobody sent, how many
    packets were sent again)."""
    lamps = [Lamp(0x7FF500000000 + n, f"Heron {n}", address=n) for n in range(1, 9)]
    cable, talk, dice = Cable(lamps), Talk(), random.Random(7)
    cable.flips = _FLIPS
    wrong = 0
    for _ in range(_EXCHANGES):
        lamp = dice.choice(lamps)
        if dice.random() < 0.5:
            wanted = dice.randrange(1, 513)
            said = hold(talk, talk.set(lamp.uid, rdm_pids.START_ADDRESS, wanted.to_bytes(2, "big")), cable)
            wrong += said != b"" or lamp.address != wanted
        else:
            wrong += hold(talk, talk.get(lamp.uid, rdm_pids.MODEL), cable) != lamp.model.encode()
    return _EXCHANGES, wrong, talk.asked - _EXCHANGES


def hold(talk, conversation, cable):
    """Hold a conversation on a bare cable -> what it returns."""
    heard = None
    while True:
        try:
            asked = conversation.send(heard)
        except StopIteration as end:
            return end.value
        heard = None if isinstance(asked, int) else cable.ask(asked, talk.window_us(asked))[1]
