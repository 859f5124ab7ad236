"""Pack the simulator as a folder of files that any server hands out: `make web`, or python -m host.web FOLDER.

MicroPython's WebAssembly build is npm's (make fetches it into build/npm). Its licence, MIT, goes along.
"""

import json
import pathlib
import shutil
import sys

import boards
from host import Refused

ROOT = pathlib.Path(__file__).resolve().parents[1]
VM = ROOT / "build/npm/node_modules/@micropython/micropython-webassembly-pyscript"
_SIM = ("__init__", "bench", "cie", "demo", "disk", "feeds", "hands", "kitchen", "lamps", "line", "littlefs_blocks",
        "live", "measure", "play", "recorder", "scene", "scope", "session", "talk", "vm", "wave", "panels/__init__",
        "panels/colours", "panels/glass", "panels/textlog", "web/__init__", "web/device")


def sources():
    """What runs on the VM: {path there: text}. But for loops in machine code, which it does not have."""
    files = {path.relative_to(ROOT).as_posix(): path for path in sorted(ROOT.glob("firmware/**/*.py"))}
    names = ["hal/__init__", "hal/receiver", "boards/__init__", "boards/pico", *(f"boards/{n}" for n in boards.NAMES)]
    files |= {f"{name}.py": ROOT / f"{name}.py" for name in names}
    files |= {f"sim/{name}.py": ROOT / f"sim/{name}.py" for name in _SIM}
    files |= {path.name: path for path in sorted((ROOT / "sim/web/shims").glob("[a-z]*.py"))}
    texts = {name: path.read_text(encoding="utf-8") for name, path in files.items()}
    return {name: text for name, text in texts.items() if "@micropython." not in text}


def build(folder):
    """Write the page -> {file: bytes}. Errors: Refused: the VM is not there."""
    if not (VM / "micropython.wasm").exists():
        raise Refused(f"MicroPython's WebAssembly build is not in {VM}: make web fetches it by npm (Node.js)")
    folder.mkdir(parents=True, exist_ok=True)
    for place in (ROOT / "sim/page", ROOT / "sim/web"):
        for path in sorted(place.glob("*.*")):
            if path.suffix in (".js", ".css", ".html"):
                shutil.copy(path, folder / path.name)
    for name in ("micropython.mjs", "micropython.wasm"):
        shutil.copy(VM / name, folder / name)
    (folder / "python.json").write_text(json.dumps(sources()), encoding="utf-8")
    return {path.name: path.stat().st_size for path in sorted(folder.iterdir()) if path.is_file()}


def main(argv):
    """Write it, and say how large it is. Returns the exit status."""
    folder = pathlib.Path(argv[0] if argv else "build/web")
    try:
        sizes = build(folder)
    except Refused as error:
        print(f"web: {error}", file=sys.stderr)
        return 1
    print(f"{folder}: {len(sizes)} files, {sum(sizes.values()):,} bytes; any web server can hand them out, such as")
    print(f"  python -m http.server --directory {folder} --bind 127.0.0.1 8041")
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
