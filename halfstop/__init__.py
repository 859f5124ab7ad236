"""What `pip install halfstop` brings: one package that holds firmware/, hal/, boards/, sim/ and host/.

Those are imported by their own names, on the board and everywhere else, so they are found in this folder, or in a
checkout beside it.
"""

import pathlib
import sys


def home():
    """The folder that firmware/, sim/ and the others are in: pathlib.Path."""
    here = pathlib.Path(__file__).resolve().parent
    return here if (here / "firmware").is_dir() else here.parent


def main():
    """The command `halfstop` -> its exit status (host/__main__.py)."""
    sys.path.insert(0, str(home()))
    from host.__main__ import main

    return main(sys.argv[1:])
