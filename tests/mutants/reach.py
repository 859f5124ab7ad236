"""Which tests run through which lines, found once for the unchanged program: build/mutants/reach.json.

Each test file is run for itself under `coverage` (pip install -e '.[mutants]'). Kept of each test: its seconds, whether
it starts another process, whose lines nobody sees, and the lines of each source. What runs when a file is imported, or
for fixtures of more than one test, is under the name "". What depends on the sources and on the file is found anew
where these are others.
"""

import hashlib
import json
import sys

from tests.mutants import areas, fork

FILE = areas.ROOT / "build" / "mutants" / "reach.json"
_LIMIT_S = 900  # of one file


class Traced(fork.Chosen):
    """A plugin: runs all under coverage. `told`: {test: [seconds, outcome, starts a process, {source: lines}]}; lines
    as bits of a number, in hexadecimal."""

    def __init__(self, root):
        super().__init__(None, ())
        self.root, self.tests, self.now, self.cov = root, {"": [0, "passed", False]}, "", None

    def pytest_configure(self, config):
        """Begin before anything of ours is imported."""
        import coverage

        self.cov = coverage.Coverage(data_file=None, config_file=False,
                                     include=[f"{self.root}/{top}/*" for top in areas.SOURCES])
        self.cov.start()
        sys.addaudithook(self._heard)

    def _heard(self, event, _args):
        if event == "subprocess.Popen":
            self.tests[self.now][2] = True

    def _at(self, name):
        self.now = name
        self.tests.setdefault(name, [0, "passed", False])
        self.cov.switch_context(name)

    def pytest_runtest_logstart(self, nodeid, location):
        """A test begins."""
        self._at(nodeid)

    def pytest_runtest_logfinish(self, nodeid, location):
        """It has ended."""
        self._at("")

    def pytest_runtest_logreport(self, report):
        """How long it took, and whether it went well."""
        entry = self.tests[report.nodeid]
        entry[0] = round(entry[0] + report.duration, 3)
        if not report.passed:
            entry[1] = report.outcome

    @fork.pytest.hookimpl(hookwrapper=True)
    def pytest_fixture_setup(self, fixturedef, request):
        """What is made for several tests is nobody's."""
        now = self.now
        if fixturedef.scope != "function" and now:
            self._at("")
            yield
            self._at(now)
        else:
            yield

    def pytest_unconfigure(self, config):
        """Sum up."""
        self.cov.stop()
        data = self.cov.get_data()
        lines = {name: {} for name in self.tests}
        for file in data.measured_files():
            source = file[len(str(self.root)) + 1:]
            for line, names in data.contexts_by_lineno(file).items():
                for name in names:
                    of = lines.setdefault(name, {})
                    of[source] = of.get(source, 0) | 1 << line
        self.told = {name: [*entry, {source: f"{bits:x}" for source, bits in lines[name].items()}]
                     for name, entry in self.tests.items()}


class Reach:
    """What is known, of the files that were asked for so far. `broken`: tests that fail though nothing is changed."""

    def __init__(self, root, say=print):
        self.root, self._say = root, say
        self._kept = json.loads(FILE.read_text()) if FILE.exists() else {}
        sources = b"".join((areas.ROOT / path).read_bytes() for path in areas.modules())
        self._sources = hashlib.sha256(sources).hexdigest()[:16]
        self._read, self.broken = {}, set()

    def known(self, name):
        """True for a test file whose tests have been looked at."""
        return name in self._read or self._key(name) in self._kept

    def of(self, name):
        """{test: [seconds, outcome, starts a process, {source: lines as bits}]} of a test file."""
        if name not in self._read:
            if self._key(name) not in self._kept:
                self._find(name)
            self._read[name] = {test: [*entry[:3], {path: int(bits, 16) for path, bits in entry[3].items()}]
                                for test, entry in self._kept[self._key(name)].items()}
            self.broken |= {test for test, entry in self._read[name].items() if entry[1] == "failed"}
        return self._read[name]

    def _key(self, name):
        return f"{name} {self._sources} {hashlib.sha256((areas.ROOT / name).read_bytes()).hexdigest()[:16]}"

    def _find(self, name):
        code, told = fork.run(self.root, Traced(self.root), [name], _LIMIT_S, write=True)
        if code:
            failed = [test for test, entry in (told or {}).items() if entry[1] == "failed"]
            self._say(f"{name} fails unchanged (pytest's {code}): {failed}", flush=True)
        self._kept[self._key(name)] = told or {}
        FILE.parent.mkdir(parents=True, exist_ok=True)
        FILE.write_text(json.dumps(self._kept))


def chosen(tests, path, lines, broken=()):
    """Of the tests of a file: those that run through one of these lines of a source, the quickest first. Where the
    lines run when the file is imported, or for several tests: all."""
    bits = sum(1 << line for line in lines)
    through = {test for test, entry in tests.items() if entry[3].get(path, 0) & bits}
    if "" in through:
        through = set(tests)
    return sorted(through - set(broken) - {""}, key=lambda test: tests[test][0])
