"""One change, and what the tests say of it. First those that run through its line, the quickest first; then the rest of
the tests of its area that might see it in another way: through a process of their own, through what another test has
made, through the text of the source.
"""

from tests.mutants import areas, change, fork, reach, tree

LIMIT_S = 240  # of the tests of one change
_PATIENCE_S = 15  # beside five times what the tests of a file take without it
_FAR_S, _FAR_MOST = 15, 8  # of files outside its area: seconds of one, and how many
_FIRST = 4  # files of a source that are looked at for the order of the changes
_LINES_MOST = 2000  # of a source
_TRIES = 3  # so often a test is left out that fails unchanged too


class Trial:
    """`reach`: of reach.Reach."""

    def __init__(self, reach):
        self._reach, self._sound = reach, set()

    def news(self, path):
        """How many of the test files that come first for a source have not been run yet."""
        return sum(not self._reach.known(file) for file in areas.tests_of(path)[:_FIRST])

    def of(self, path, one):
        """Try a change -> {"what": "killed", "survived" or "slow", "by": the test that noticed or stopped the clock,
        "why": the end of what it said, "tests": how many were run}."""
        text = (tree.ROOT / path).read_text()
        lines, at_import = change.lines_of(text, one[0])
        new, done, left = change.apply(text, one), set(), LIMIT_S
        for file, wanted in self._runs(path, lines, at_import, done):
            for _ in range(_TRIES):
                wanted = [test for test in wanted if test not in self._reach.broken]
                if not wanted:
                    break
                plugin = fork.Chosen(wanted, set(self._reach.of(file)))
                began, limit = fork.seconds(), min(left, _PATIENCE_S + 5 * self._cost(file, wanted))
                with tree.changed(path, new):
                    code, told = fork.run(tree.ROOT, plugin, [file], limit)
                left = max(1, left - (fork.seconds() - began))
                if code is None:
                    return {"what": fork.LATE, "by": file, "why": "not done in time", "tests": len(done)}
                if not code or code == 5:  # 5: it had none of these tests
                    break
                where, by, why = told or ("crash", file, f"pytest ended with {code}")
                if where in ("collection", "crash") or self._is_sound(file, wanted, by):
                    return {"what": fork.KILLED, "by": by, "why": why.strip().split("\n")[-1], "tests": len(done)}
            done.update(wanted)
        return {"what": fork.LIVED, "by": "", "why": "", "tests": len(done)}

    def _runs(self, path, lines, at_import, done):
        """Yields (test file, tests of it), until all have been there."""
        near = areas.tests_of(path)
        known = [file for file in areas.test_files() if self._reach.known(file)]
        ready = {file: self._through(file, path, lines, at_import and file in near) for file in known}
        costs = {file: self._cost(file, found) for file, found in ready.items() if found}
        ordered = sorted(costs, key=lambda file: costs[file])
        far = [file for file in ordered if file not in near]
        for file in [file for file in ordered if file in near] + far[:_FAR_MOST]:
            yield file, ready[file] if file in near else self._quick(file, ready[file])
        for file in near:
            if file not in known:
                ready[file] = self._through(file, path, lines, at_import)
                if ready[file]:
                    yield file, ready[file]
        for file in near:
            tests = self._reach.of(file)
            rest = [test for test in tests if test and test not in done and (ready.get(file) or tests[test][2])]
            if rest:
                yield file, rest

    def _through(self, file, path, lines, at_import):
        tests = self._reach.of(file)
        found = reach.chosen(tests, path, lines, self._reach.broken)
        if at_import and not found:
            found = reach.chosen(tests, path, range(_LINES_MOST), self._reach.broken)
        return found

    def _quick(self, file, found):
        """The quickest of these tests of a file, _FAR_S of them."""
        tests, spent, out = self._reach.of(file), 0, []
        for test in found:
            spent += tests[test][0]
            if spent > _FAR_S:
                break
            out.append(test)
        return out

    def _cost(self, file, found):
        tests = self._reach.of(file)
        return sum(tests[test][0] for test in found) + 1

    def _is_sound(self, file, wanted, by):
        """True if a test that noticed a change is content with the unchanged program, run in the same way."""
        if by in self._sound:
            return True
        upto = wanted[:wanted.index(by) + 1] if by in wanted else wanted
        code, _told = fork.run(tree.ROOT, fork.Chosen(upto, set(self._reach.of(file))), [file], LIMIT_S)
        if code in (0, 5):
            self._sound.add(by)
            return True
        self._reach.broken.add(by)
        print(f"{by} fails unchanged: left out", flush=True)
        return False
