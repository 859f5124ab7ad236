"""halfstop restore: bring shows from a backup onto a board.

A show is put together in the folder restore/ on the board, checked there by SHA-256, and only then moved in place in
steps that a power cut cannot spoil: restore/X -> shows/X= ; shows/X -> trash ; shows/X= -> shows/X. The firmware ends
them at its next start (firmware/show/shelf.py). A run that breaks off is run again and goes on where it was. A show
on the board that is not as in the backup is replaced only after asking.
"""

import pathlib
import re
import sys

from host import Refused, backup, check, command, link, looks_log, remote
from host.progress import Progress

HELP = "bring shows from a backup .zip onto a board"
SETTINGS = ("kit.json", "shelf.json")
STAGE = "restore"
_NEW, _SAME, _OTHER = "new", "same", "other"


def shows_in(files):
    """The shows among a backup's files: {ident: {path in the show: bytes}}."""
    found = {}
    for path, data in files.items():
        if path.startswith("shows/") and path.count("/") >= 2:
            _, ident, rest = path.split("/", 2)
            found.setdefault(ident, {})[rest] = data
    return found


def refuse_names(shows):
    """Refuse names that no device makes: of shows they are of a-z, 0-9 and -, of files of letters, 0-9 and ._~-; an =
    or + at the end has a meaning there. Errors: Refused."""
    for ident, files in shows.items():
        if not re.fullmatch(r"[a-z0-9][a-z0-9-]{0,63}", ident):
            raise Refused(f"the backup has a show in the folder {ident!r}, which no device makes: only a-z, 0-9 and - "
                          "can be in it. Rename the folder in the .zip. Nothing was changed.")
        for path in files:
            if not all(re.fullmatch(r"[A-Za-z0-9_][A-Za-z0-9_.~-]*", part) for part in path.split("/")):
                raise Refused(f"the backup has a file {path!r} in the show {ident}, which no device makes. Nothing was "
                              "changed.")


def load(path, only):
    """A backup's shows and settings: ({ident: {path: bytes}}, {path: bytes}). Errors: Refused: damaged, or no such
    show in it."""
    files = check.read_all(path)
    refuse_names(shows_in(files))
    files = {name: data for name, data in files.items() if backup.kept(name)}  # no old copies, which a folder may have
    files, faults = looks_log.as_json(files)  # a folder of a device, or of an older backup, may have either form
    wrong = faults + [check.line(*problem) for problem in check.problems(
        {name: data for name, data in files.items() if check.ours(name)})]
    shows = shows_in(files)
    if wrong:
        told = "\n".join("  " + words for words in wrong[:10])
        raise Refused(f"{path} holds files that the device could not read:\n{told}\nNothing was changed.")
    missing = [ident for ident in only if ident not in shows]
    if missing or not shows:
        raise Refused(f"{path} has no show {' or '.join(missing)}; it has: {', '.join(shows) or 'none'}")
    return ({ident: show for ident, show in shows.items() if ident in only or not only},
            {name: files[name] for name in SETTINGS if name in files})


def compare(port, ident, show, have):
    """Is the show on the board, and as it is in the backup? have: as remote.survey() tells. Logs of looks are fetched,
    since two may say the same in other bytes."""
    start = f"shows/{ident}/"
    there = {path[len(start):]: told for path, told in have.items() if path.startswith(start) and backup.kept(path)}
    if not there:
        return _NEW
    logs = {path: there.pop(path) for path in list(there) if looks_log.is_log(path)}
    if logs:
        read = {path: remote.read(port, start + path, size, _silent) for path, (size, _digest) in logs.items()}
        files, faults = looks_log.as_json(read)
        if faults:
            return _OTHER
        there.update({path: (len(data), remote.digest(data)) for path, data in files.items()})
    same = there.keys() == show.keys() and not remote.differs(show, there)
    return _SAME if same else _OTHER


def _silent(_bytes, _path):
    """No progress is shown."""


def free_ident(ident, taken):
    """The ident with the first number that no show has."""
    n = 2
    while f"{ident}-{n}" in taken:
        n += 1
    return f"{ident}-{n}"


def ask(ident, yes):
    """What to do with a show that is on the board, but not as in the backup: "replace", "both" or "leave"."""
    if yes:
        return "replace"
    if not sys.stdin.isatty():
        print(f"{ident}: the board has this show otherwise than the backup; left as it is (--yes replaces it)")
        return "leave"
    print(f"{ident}: the board has this show otherwise than the backup. Replacing it loses what was changed since.")
    answer = ""
    while answer not in ("r", "b", "l"):
        answer = input("  [r]eplace it, keep [b]oth, or [l]eave it as it is? ").strip().lower()[:1]
    return {"r": "replace", "b": "both", "l": "leave"}[answer]


def choose(port, shows, have, yes):
    """What to bring: {ident on the board: {path: bytes}}, the questions asked; looks as the board keeps them, in a
    log."""
    taken = {path.split("/")[1] for path in have if path.startswith("shows/")} | set(shows)
    out = {}
    for ident, show in shows.items():
        how = compare(port, ident, show, have)
        answer = ask(ident, yes) if how == _OTHER else "replace"
        if how == _SAME:
            print(f"{ident}: is on the board as in the backup")
        elif answer != "leave":
            name = free_ident(ident, taken) if answer == "both" else ident
            taken.add(name)
            out[name] = looks_log.as_log(show)
    return out


def staged(shows):
    """Where the files of these shows are put together: {path: bytes}."""
    return {f"{STAGE}/{ident}/{path}": data for ident, show in shows.items() for path, data in show.items()}


def bring(port, there, shows, have, show):
    """Copy the shows to where they are put together, and check them there. Errors: Refused: no room, or they differ."""
    wanted = staged(shows)
    missing = remote.differs(wanted, have)
    need = sum(-(-len(data) // there.block) * there.block for data in missing.values()) + 8 * there.block
    if need > there.free:
        raise Refused(f"not enough room on the board: {need:,} bytes are needed, {there.free:,} are free. Delete "
                      "shows, looks or captures on the device first. Nothing was changed.")
    for path in [path for path in have if path.startswith(STAGE + "/") and path not in wanted]:
        remote.remove(port, path)
    remote.make_folders(port, wanted)
    for path, data in wanted.items():
        if path in missing:
            remote.write(port, path, data, show)
        else:
            show(len(data), path)
    wrong = remote.differs(wanted, remote.survey(port, (STAGE,)))
    if wrong:
        raise Refused(f"after copying, these differ on the board: {', '.join(wrong)}. Run restore again; if it "
                      "happens again, the board's flash is worn out or faulty. No show was changed.")


def finish(port):
    """End the move that a run which broke off began."""
    for name in remote.names(port, "shows"):
        if name.endswith("="):
            take_place(port, name[:-1])


def put_in_place(port, ident):
    """Let the show that was put together take its place."""
    remote.make_folders(port, ("shows/x", "trash/x"))
    remote.move(port, f"{STAGE}/{ident}", f"shows/{ident}=")
    take_place(port, ident)


def take_place(port, ident):
    """shows/IDENT= becomes shows/IDENT; the one that was there goes to the trash."""
    if ident in remote.names(port, "shows"):
        taken, old, n = remote.names(port, "trash"), ident, 1
        while old in taken or old + "+" in taken:
            n += 1
            old = f"{ident}-{n}"
        remote.move(port, "shows/" + ident, "trash/" + old)
    remote.move(port, f"shows/{ident}=", "shows/" + ident)


def options():
    """The command line: argparse's parser."""
    parser = command.parser("restore", HELP, (
        "A show that is on the board, but not as in the backup, is replaced only after asking. The device stops for "
        "the time and then restarts by itself. A run that broke off is run again: it goes on where it was."))
    parser.add_argument("file", type=pathlib.Path, metavar="FILE.zip")
    parser.add_argument("--show", action="append", default=[], metavar="IDENT",
                        help="only this show, by its folder's name (may be given again)")
    parser.add_argument("--settings", action="store_true", help="bring the device's settings too")
    parser.add_argument("--yes", action="store_true", help="replace shows without asking")
    command.add_port(parser)
    return parser


def main(argv):
    """Restore. Returns the exit status."""
    asked = options().parse_args(argv)
    shows, settings = load(asked.file, asked.show)
    with link.opened(asked.port, "restore") as port:
        there = link.who(port)
        finish(port)
        have = remote.survey(port, ("",))
        chosen = choose(port, shows, have, asked.yes)
        bar = Progress(sum(len(data) for show in chosen.values() for data in show.values()), "bytes")
        bring(port, there, chosen, have, bar.step)
        bar.close()
        for ident in chosen:
            put_in_place(port, ident)
        if asked.settings:
            bring_settings(port, remote.differs(settings, have))
    print(f"{len(chosen)} shows brought to the board: {', '.join(chosen)}" if chosen else "nothing to bring")
    return 0


def bring_settings(port, settings):
    """Replace the settings' files: written aside first, then renamed."""
    for path, data in settings.items():
        remote.write(port, path + "+", data, _silent)
        remote.move(port, path + "+", path)
        print(f"{path}: brought")
