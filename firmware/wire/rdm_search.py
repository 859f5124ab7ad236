"""Finds all responders on a line: ANSI E1.20's discovery, a binary search over the UIDs. Loaded while lamps are asked
for. Its conversations are as those of rdm_talk.py.

A branch, a range of UIDs, is asked who is in it: silence: nobody; one answer that can be read: that one is muted, and
the branch asked again; else there are several, and the branch is halved. Responders may be unruly: one that cannot be
muted is known after some tries, and its branches are halved around it; two with one UID, and noise for answers, end at
a branch of one UID that nobody can read.
"""

from micropython import const

from firmware.wire import rdm

_QUIET = const(3)  # so often all must be silent before the search is over: one that missed a request is found then
_STALE = const(2)  # or so often in a row only those may answer that cannot be muted
_AGAIN = const(3)  # so often one that was muted may answer
_GARBLED = const(6)  # UIDs that cannot be read, after which the line is held to be disturbed
_FIRST, _PER_FOUND = const(1200), const(60)  # requests that the search may take, and for each that is found


class Search:
    """`found`: UIDs of those that answered to a mute, in the order in which they came; `unruly`: of those that did not
    obey it; `garbled`: UIDs whose answer nobody can read: two have that one; `stopped`: why the search ended early, or
    "". Two answers at once may, seldom, look like a third: such a UID is in none of these."""

    def __init__(self, talk, tell=None):
        """tell: called with each UID that is found: the conversation to hold with it; or None."""
        self.talk, self._tell = talk, tell
        self.found = []
        self.unruly = []
        self.garbled = []
        self.stopped = ""
        self._stack = []  # branches that are still to be asked
        self._doubtful = []  # UIDs that were read and not muted, around which branches are halved
        self._times = {}  # of those that answered with their UID: how often
        self._quiet = self._stale = 0  # searches from the top in a row that heard nothing; nothing new
        self._news = True

    def run(self):
        """The search."""
        talk = self.talk
        began = talk.asked
        for _ in range(2):
            yield rdm.request(rdm.ALL, talk.next_number(), rdm.DISCOVERY, rdm.UN_MUTE)
        while not self._over(talk.asked - began):
            low, high = self._stack.pop()
            heard = yield rdm.branch(low, high, talk.next_number())
            if heard:
                self._quiet = 0
                uid = rdm.decode(heard)
                yield from self._answered(low, high, uid if uid is not None and low <= uid <= high else None)
            elif high - low == rdm.LAST_UID:
                self._quiet += 1
        for uid in self._doubtful:  # a lamp that was heard and whose answer to a mute was lost
            if uid not in self.found:
                yield from self._mute(uid)

    def _over(self, asked):
        """True where the search ends; else there is a branch to ask."""
        if asked > _FIRST + _PER_FOUND * (len(self.found) + len(self._doubtful)):
            self.stopped = "too many tries"
        elif len(self.garbled) >= _GARBLED:
            self.stopped = "the line is disturbed"
        elif not self._stack:
            self._stale = 0 if self._news or self._quiet else self._stale + 1
            self._news = False
            self._stack.append((0, rdm.LAST_UID))
            return self._quiet >= _QUIET or self._stale >= _STALE
        return bool(self.stopped)

    def _answered(self, low, high, uid):
        """Somebody in a branch answered. uid: None where that cannot be read."""
        if uid is not None and uid not in self._doubtful:
            times = self._times[uid] = self._times.get(uid, 0) + 1
            if times <= _AGAIN and (yield from self._mute(uid)):
                self._stack.append((low, high))
                return
            self._news = True
            self._doubtful.append(uid)
        if low < high:
            middle = (low + high) >> 1
            self._stack.append((middle + 1, high))
            self._stack.append((low, middle))
        elif uid is not None:
            if uid not in self.unruly:
                self.unruly.append(uid)
        elif low not in self.garbled:
            self.garbled.append(low)
            yield from self._mute(low)

    def _mute(self, uid):
        """Mute one -> True where it answers. It is among the found then, and is told of."""
        answer = yield from self.talk.once(uid, rdm.DISCOVERY, rdm.MUTE)
        if answer is None or answer[rdm.KIND_AT] != rdm.ACK:
            return False
        if uid not in self.found:
            self._news = True
            self.found.append(uid)
            if self._tell:
                yield from self._tell(uid)
        return True
