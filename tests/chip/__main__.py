"""The shipped firmware on an emulated RP2040, held against its goals; ends with a table.

    python -m tests.chip UF2 [--write PAGE]   the checks; with LONG=1 in the environment those too that take long
    python -m tests.chip --check              is the table in docs/CHIP.md of the firmware as it is?

Exit status: 0 where all checks of correctness hold (goals that are missed are listed), or without an image; 1 where one
fails, or the table is of other firmware; 2 for an image that cannot be tested, or without a C compiler.
"""

import argparse
import os
import pathlib
import sys
import time

from tests.chip import core, figures, image, sessions, table


def main(argv):
    """Exit status."""
    parser = argparse.ArgumentParser(prog="python -m tests.chip", description=__doc__,
                                     formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("uf2", nargs="?", help="MicroPython image for the Raspberry Pi Pico (RP2040)")
    parser.add_argument("--write", metavar="PAGE", help="write the table to a page, docs/CHIP.md")
    parser.add_argument("--check", action="store_true", help="compare the page's firmware with what there is")
    parser.add_argument("--only", default="", metavar="WORD", help="only the sessions whose names have this in them")
    asked = parser.parse_args(argv)
    if asked.check:
        words = table.stale()
        print(words or "docs/CHIP.md is of the firmware as it is")
        return int(bool(words))
    if not asked.uf2:
        print("No image given, so nothing was tested.\n" + image.WANTED)
        return 0
    try:
        version = image.version(asked.uf2)
        core.library()
    except (image.NotUsable, core.NoCompiler) as error:
        print(error, file=sys.stderr)
        return 2
    return tested(asked, version)


def tested(asked, version):
    """Run the checks, print what they found, write the page if that is asked -> exit status."""
    long, begun = bool(os.environ.get("LONG")), time.monotonic()
    print(f"MicroPython {version}; {'all checks' if long else 'the short checks (LONG=1: all)'}", flush=True)
    report = sessions.run(asked.uf2, [job for job in sessions.planned(long) if asked.only in job[0]])
    print("\n" + "\n".join(figures.table(report.figures)))
    for key, board, show, value in report.misses():
        figure = figures.FIGURES[key]
        print(f"MISS {board}, {show}: {figure.words}: {value} {figure.unit}, goal {figure.goal_words(show)}")
    for line in report.lines:
        if line.startswith("FAIL"):
            print(line)
    print(f"{report.failed} failed, {len(report.misses())} goals missed; {time.monotonic() - begun:.0f} s")
    if asked.write:
        pathlib.Path(asked.write).write_text(table.page(version, report.figures, report.failed, long),
                                             encoding="utf-8")
    return min(report.failed, 1)


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
