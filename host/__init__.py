"""Commands for the maker's computer: halfstop VERB, in a checkout python -m host VERB too.

A verb is a module in this folder with `HELP = "one line"`, `options()` (an argparse parser, see
command.py) and `main(argv) -> int` (the exit status); it is
called by its file name, or by `VERB = "name"` where that name is a Python keyword. Other modules here have
no HELP.
"""


class Refused(Exception):
    """The command can't go on. Its message (no traceback) says what was wrong, where, what to do."""
