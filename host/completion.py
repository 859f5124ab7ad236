"""halfstop completion SHELL: print what makes the shell complete verbs, options and file names.

    halfstop completion bash > ~/.local/share/bash-completion/completions/halfstop
    halfstop completion zsh > ~/.zfunc/_halfstop     (with fpath+=~/.zfunc before compinit)
"""

import argparse
import importlib

import shtab

from host import command

HELP = "print what makes a shell complete verbs, options and files"
_FILES = ("FILE", "FOLDER", "SHOW")  # of these words in a help text, the shell completes file names


def options():
    """The command line: argparse's parser."""
    parser = command.parser("completion", HELP, "For bash: halfstop completion bash > "
                            "~/.local/share/bash-completion/completions/halfstop")
    parser.add_argument("shell", choices=shtab.SUPPORTED_SHELLS)
    return parser


def whole():
    """The parser of the whole command: each verb's as a part of it."""
    from host.__main__ import verbs

    parser = argparse.ArgumentParser(prog="halfstop")
    parser.add_argument("--version", action="store_true", help="say which version this is")
    parts = parser.add_subparsers()
    for verb, (module, said) in verbs().items():
        of_verb = importlib.import_module("host." + module).options()
        for action in of_verb._actions:
            if (action.metavar or action.dest).upper().startswith(_FILES):
                action.complete = shtab.FILE
        parts.add_parser(verb, help=said, parents=[of_verb], add_help=False)
    return parser


def main(argv):
    """Print the script. Returns the exit status."""
    print(shtab.complete(whole(), options().parse_args(argv).shell))
    return 0
