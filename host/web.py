"""Pack the simulator as a folder of files that any server hands out: `make web`, or python -m host.web FOLDER.

MicroPython's WebAssembly build is npm's (make fetches it into build/npm). Its licence, MIT, goes along.
"""

import json
import pathlib
import shutil
import sys

import boards
from host import Refused, backup, flash, link, pack, remote

ROOT = pathlib.Path(__file__).resolve().parents[1]
_NPM = ROOT / "build/npm/node_modules"
VM = _NPM / "@micropython/micropython-webassembly-pyscript"
VM_FILES = VM / "micropython.mjs", VM / "micropython.wasm"
ZIP = _NPM / "fflate/esm/browser.js"
_SIM = ("__init__", "bench", "cie", "demo", "disk", "feeds", "hands", "kitchen", "lamps", "line", "littlefs_blocks",
        "live", "measure", "play", "rdm_desk", "rdm_lamps", "rdm_port", "recorder", "scene", "scope", "session", "talk",
        "vm", "wave", "panels/__init__", "panels/colours", "panels/glass", "panels/textlog", "web/__init__",
        "web/device")


def sources():
    """What runs on the VM: {path there: text}. But for loops in machine code, which it does not have."""
    files = {path.relative_to(ROOT).as_posix(): path for path in sorted(ROOT.glob("firmware/**/*.py"))}
    names = ["hal/__init__", "hal/receiver", "boards/__init__", "boards/pico", *(f"boards/{n}" for n in boards.NAMES)]
    files |= {f"{name}.py": ROOT / f"{name}.py" for name in names}
    files |= {f"sim/{name}.py": ROOT / f"sim/{name}.py" for name in _SIM}
    files |= {f"host/{name}.py": ROOT / f"host/{name}.py" for name in ("__init__", "looks_log")}
    files |= {path.name: path for path in sorted((ROOT / "sim/web/shims").glob("[a-z]*.py"))}
    texts = {name: path.read_text(encoding="utf-8") for name, path in files.items()}
    return {name: text for name, text in texts.items() if "@micropython." not in text}


def build(folder, packs=None):
    """Write the page -> {file: bytes}. packs: {board: {path: bytes}} to put on boards; None: of all boards, packed now.
    Errors: Refused: what npm brings is not there."""
    for path in (*VM_FILES, ZIP):
        if not path.exists():
            raise Refused(f"{path} is not there: make web fetches it by npm (Node.js)")
    folder.mkdir(parents=True, exist_ok=True)
    for place in (ROOT / "sim/page", ROOT / "sim/web"):
        for path in sorted(place.glob("*.*")):
            if path.suffix in (".js", ".css", ".html"):
                shutil.copy(path, folder / path.name)
    for path in VM_FILES:
        shutil.copy(path, folder / path.name)
    shutil.copy(ZIP, folder / "fflate.js")
    shutil.copy(ROOT / "LICENSE", folder / "LICENSE.txt")
    (folder / "python.json").write_text(json.dumps(sources()), encoding="utf-8")
    if packs is None:
        packs = {name: pack.packed(boards.load(name), pack.ARCH[boards.load(name).CHIP]) for name in boards.NAMES}
    for name, files in packs.items():
        (folder / "firmware" / name).mkdir(parents=True, exist_ok=True)
        for path, data in files.items():
            (folder / "firmware" / name / path).write_bytes(data)
    (folder / "board.json").write_text(json.dumps(facts(packs)), encoding="utf-8")
    files = sorted(path for path in folder.rglob("*") if path.is_file())
    return {path.relative_to(folder).as_posix(): path.stat().st_size for path in files}


def facts(packs):
    """What the page must know of boards, from the modules of the commands that do the same."""
    scripts = {name[1:].lower(): getattr(remote, name) for name in
               ("_SURVEY", "_LIST", "_MKDIR", "_OPEN", "_READ", "_MOVE", "_REMOVE", "_REMOVE_FOLDERS")}
    scripts |= {"keep_awake": link.KEEP_AWAKE, "let_go": link.LET_GO % (pack.OURS,),
                "who": link.who_script().replace("print(repr((", "import json\nprint(json.dumps((")}
    names = {"FILE": pack.FILE, "NEW": pack.NEW, "OLD": pack.OLD, "OURS": pack.OURS, "LOOSE": flash.LOOSE,
             "NOT": backup.NOT, "NOT_FILES": backup.NOT_FILES}
    return {"scripts": scripts, "names": names, "oldest": link.OLDEST, "install": link.INSTALL, "boards": {
        name: {"chip": boards.load(name).CHIP, "wifi": getattr(boards.load(name), "WIFI", False),
               "files": sorted(files)} for name, files in packs.items()}}


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
