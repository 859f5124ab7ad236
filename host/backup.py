"""halfstop backup: copy the shows and settings of a board into one .zip of JSON files; the log of a show's looks
becomes a JSON file a look.

Every file is checked against the SHA-256 that the board itself computes. What has been fetched waits beside the .zip
in a folder NAME.part: a run that breaks off is run again and goes on where it was.
"""

import datetime
import pathlib
import shutil
import time
import zipfile

from host import Refused, command, link, local, looks_log, pack, remote
from host.progress import Progress

HELP = "copy a board's shows and settings into one .zip"
# What is not backed up: our program, what is on at the moment, deleted shows, a restore that was broken off.
NOT = (*pack.OURS, "state", "trash", "restore")
NOT_FILES = ("main.py", "main.new", "boot.py", "board.txt", "update.txt", pack.FILE, pack.NEW, pack.OLD)


def kept(path):
    """True for a file that is the user's: not ours, not an old copy, not half of a save."""
    parts = path.split("/")
    whole = path[-1] not in "~+" and (len(parts) < 3 or parts[1][-1] not in "+=")
    return whole and parts[0] not in NOT and path not in NOT_FILES


def survey(port, shows=()):
    """The user's files: {path: (bytes, SHA-256)}; with names of shows, only theirs. Errors: Refused: no such show."""
    found = {path: told for path, told in remote.survey(port, ("",)).items() if kept(path)}
    for ident in shows:
        if not any(path.startswith(f"shows/{ident}/") for path in found):
            there = sorted({path.split("/")[1] for path in found if path.startswith("shows/")})
            raise Refused(f"there is no show {ident} on the board; there are: {', '.join(there) or 'none'}")
    if shows:
        found = {path: told for path, told in found.items() if path.startswith(tuple(f"shows/{s}/" for s in shows))}
    if not found:
        raise Refused("there is nothing to back up on the board: no show, no settings.")
    return found


class Part:
    """The folder of what has been fetched, a file a SHA-256."""

    def __init__(self, target):
        self.folder = target.with_name(target.name + ".part")

    def get(self, digest):
        """The bytes of that digest, or None where they are not there yet, or not whole."""
        path = self.folder / digest
        data = local.read(path) if path.exists() else None
        return data if data is not None and remote.digest(data) == digest else None

    def put(self, digest, data):
        """Keep bytes."""
        with local.at(self.folder):
            self.folder.mkdir(exist_ok=True)
            (self.folder / digest).write_bytes(data)

    def drop(self):
        """Nothing waits any more."""
        shutil.rmtree(self.folder, ignore_errors=True)


def fetch(port, wanted, part, show):
    """Fetch what part has not yet. Errors: Refused where a file comes over differently twice."""
    for path, (size, digest) in wanted.items():
        if part.get(digest) is not None:
            show(size, path)
            continue
        for again in (False, True):
            data = remote.read(port, path, size, show)
            if remote.digest(data) == digest:
                break
            if again:
                raise Refused(f"{path} came over differently from what the board has, twice. Try another cable.")
        part.put(digest, data)


def write_zip(target, files):
    """Write the .zip and read it back. files: {path: bytes}. Errors: Refused where it cannot be, or does not hold them.
    """
    half = target.with_name(target.name + ".new")
    with local.at(target):
        with zipfile.ZipFile(half, "w", zipfile.ZIP_DEFLATED) as archive:
            for path, data in sorted(files.items()):
                archive.writestr(zipfile.ZipInfo(path, time.localtime()[:6]), data)
        with zipfile.ZipFile(half) as archive:
            wrong = [path for path, data in files.items() if archive.read(path) != data]
        if wrong:
            raise Refused(f"the .zip does not read back as written: {', '.join(wrong)}. Is the disk full or failing?")
        half.replace(target)


def options():
    """The command line: argparse's parser."""
    parser = command.parser("backup", HELP, (
        "The device stops for the time and then restarts by itself; its DMX goes on. A run that broke off is run "
        "again: it goes on where it was."))
    parser.add_argument("file", nargs="?", type=pathlib.Path, metavar="FILE.zip",
                        help="default: halfstop-DATE.zip")
    parser.add_argument("--show", action="append", default=[], metavar="IDENT",
                        help="only this show, by its folder's name (may be given again)")
    parser.add_argument("--replace", action="store_true", help="replace FILE.zip if it is there")
    command.add_port(parser)
    return parser


def main(argv):
    """Back up. Returns the exit status."""
    asked = options().parse_args(argv)
    target = asked.file or pathlib.Path(f"halfstop-{datetime.date.today()}.zip")
    target = local.new_file(target, asked.replace)
    with link.opened(asked.port, "backup") as port:
        link.who(port)
        wanted = survey(port, asked.show)
        part, bar = Part(target), Progress(sum(size for size, _ in wanted.values()), "bytes")
        fetch(port, wanted, part, bar.step)
        bar.close()
        files, faults = looks_log.as_json({path: part.get(digest) for path, (_size, digest) in wanted.items()})
        write_zip(target, files)
        part.drop()
    shows = {path.split("/")[1] for path in files if path.startswith("shows/")}
    for fault in faults:
        print(f"note: {fault}")
    print(f"{target}: {len(shows)} shows, {len(files)} files, all that the board has")
    return 0
