"""Commands for the maker's computer: python -m host VERB.

A verb is a module in this folder with `HELP = "one line"` and `main(argv) -> int` (the exit status); it is
called by its file name, or by `VERB = "name"` where that name is a Python keyword. Other modules here have
no HELP.
"""


class Refused(Exception):
    """The command can't go on. Its message (no traceback) says what was wrong, where, what to do."""
