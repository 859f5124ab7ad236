"""The command line of a verb: its options, and what every `--help` ends with."""

import argparse

CODES = "Exit status: 0 done, 1 {one}, 2 wrong words on the command line, 130 broken off."
ONE = "it could not be done (why is on standard error)"


def parser(verb, said, after="", one=ONE):
    """An argparse parser for `halfstop VERB`. said: the verb in one line; after: what follows the options; one: what
    an exit status of 1 means."""
    return argparse.ArgumentParser(prog=f"halfstop {verb}", description=said,
                                   epilog=f"{after} {CODES.format(one=one)}".strip())


def add_port(options):
    """The option --port of verbs that talk to a board."""
    options.add_argument("--port", help="serial port, or any address mpremote takes (default: the one found)")
