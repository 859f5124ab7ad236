"""Bytes that a stranger made, for all that parses: what each target does with them is in targets.py."""

import pathlib

CORPUS = pathlib.Path(__file__).parent / "corpus"  # TARGET/FILE: inputs that once found a fault
