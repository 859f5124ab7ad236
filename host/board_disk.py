"""A board's flash as the firmware's own code takes it (hal/contract.Disk), over the cable: so that shows are made,
changed and deleted by the code that does it on the device."""

import ast
import errno
import re

from mpremote.transport import TransportExecError

from host import remote

_LIST = """
import os
try: print([e[0] + ('/' if e[1] & 0x4000 else '') for e in os.ilistdir({0!r})])
except OSError as e:
    if e.errno != 2: raise
    print([])
"""
_REMOVE = "import os\n(os.rmdir if os.stat({0!r})[0] & 0x4000 else os.remove)({0!r})"
_FREE = "import os\ns = os.statvfs('')\nprint((s[3] if s[3] <= s[2] else 0) * s[1], s[2] * s[1])"


class BoardDisk:
    """port: as link.opened gives it. Errors: OSError with the board's error number, and link.LOST."""

    def __init__(self, port):
        self._port = port

    def read(self, path):
        return remote.read(self._port, path, self.length(path), _silent)

    def write(self, path, data):
        data = b"".join(data) if isinstance(data, list) else bytes(data)
        with _numbered(path):
            remote.write(self._port, path, data, _silent)

    def append(self, path, data):
        self.write(path, self.read(path) + bytes(data))

    def length(self, path):
        return int(self._do(f"import os\nprint(os.stat({path!r})[6])", path))

    def rename(self, old, new):
        self._do(f"import os\nos.rename({old!r}, {new!r})", old)

    def remove(self, path):
        self._do(_REMOVE.format(path), path)

    def mkdir(self, path):
        with _numbered(path):
            remote.make_folders(self._port, (path + "/x",))

    def list(self, path=""):
        return sorted(ast.literal_eval(self._do(_LIST.format(path), path)))

    def free(self):
        return tuple(map(int, self._do(_FREE, "").split()))

    def _do(self, code, path):
        with _numbered(path):
            return self._port.exec(code).decode().strip()


class _numbered:  # noqa: N801  used as a with statement's word
    """An OSError on the board is one here."""

    def __init__(self, path):
        self._path = path

    def __enter__(self):
        return self

    def __exit__(self, kind, error, _trace):
        if isinstance(error, TransportExecError):
            found = re.search(r"OSError: (?:\[Errno )?(\d+|E[A-Z]+)", str(error))
            number = found and (int(found[1]) if found[1].isdigit() else getattr(errno, found[1], None))
            if number:
                raise OSError(number, self._path) from error


def _silent(_bytes, _path):
    """No progress is shown."""
