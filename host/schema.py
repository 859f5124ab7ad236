"""The rules of firmware/show/SCHEMA.md, read from the page itself, and files held against them."""

import json
import pathlib
import re

from firmware.show import file_format
from firmware.show.file_format import seal, unseal

PAGE = pathlib.Path(__file__).parent.parent / "firmware/show/SCHEMA.md"
KINDS = {"whole": int, "text": str, "truth": bool, "list": list, "object": dict}
WORDS = {int: "a whole number", str: "text", bool: "true or false", list: "a list", dict: "an object",
         float: "a number with a fraction", type(None): "null"}


class Rule:
    """One row of the page. holds: the Python types it may have; low, high: range or None; optional: may be missing."""

    def __init__(self, key, holds, bounds, unit):
        self.optional = key.endswith("?")
        self.holds = [KINDS[kind] for kind in holds.split(" or ")]
        self.low, self.high = map(int, bounds.split("..")) if bounds else (None, None)
        self.unit = unit

    def wrong(self, value):
        """What is wrong with a value, in words, or None."""
        if type(value) not in self.holds:
            return f"must be {' or '.join(WORDS[kind] for kind in self.holds)}, not {WORDS[type(value)]}"
        if self.low is None or type(value) is bool:
            return None
        size = value if isinstance(value, int) else len(value)
        if self.low <= size <= self.high:
            return None
        unit = f" ({self.unit})" if self.unit else ""
        what = {str: " letters", list: " items"}.get(type(value), unit)
        return f"must be {self.low} to {self.high}{what}"


def load(page=PAGE):
    """The page's rules: {file pattern: {key: Rule}}. Errors: ValueError naming a row that cannot be read."""
    found, rules = {}, None
    for line in page.read_text(encoding="utf-8").splitlines():
        if line.startswith("## "):
            rules = found[line[3:].strip()] = {}
        if line.startswith("| `"):
            try:
                key, holds, bounds, unit, _meaning = (cell.strip() for cell in line.strip()[1:-1].split("|"))
                rules[key.strip("`?")] = Rule(key.strip("`"), holds, bounds, unit)
            except (ValueError, KeyError) as error:
                raise ValueError(f"{page}: this row cannot be read: {line}") from error
    return found


def rules_for(path, schema):
    """The rules of a file by its path on the device, or None where the page has none."""
    for pattern, rules in schema.items():
        shape = re.escape(pattern).replace("IDENT", "[^/]+").replace("/N\\.", "/[0-9]+\\.")
        if re.fullmatch(shape.replace("faults\\.log", "faults\\.(log|old)"), path):
            return rules
    return None


def problems(obj, rules):
    """(key, value, rule in words) of everything in an object that is not as the page has it."""
    yield from _walk(obj, "", "", rules)


def _walk(value, key, place, rules):
    """key: as the page writes it; place: the same with the numbers of items."""
    if key:
        rule = rules.get(key)
        if rule is None:
            yield place, value, "is not in the schema"
            return
        wrong = rule.wrong(value)
        if wrong:
            yield place, value, wrong
            return
    if isinstance(value, dict):
        yield from _walk_object(value, key, place, rules)
    elif isinstance(value, list):
        for n, item in enumerate(value):
            fixed = f"{key}[{n}]"
            yield from _walk(item, fixed if fixed in rules else f"{key}[]", f"{place}[{n}]", rules)


def _walk_object(value, key, place, rules):
    start = key + "." if key else ""
    for name, item in value.items():
        if key or name not in ("schema", "crc"):
            known = start + name if start + name in rules or start + "*" not in rules else start + "*"
            yield from _walk(item, known, f"{place}.{name}" if place else name, rules)
    for known, rule in rules.items():
        name = known[len(start) :]
        missing = known.startswith(start) and re.fullmatch(r"[a-z_]+", name) and name not in value
        if missing and not rule.optional:
            yield f"{place}.{name}" if place else name, None, "is missing"


def file_problems(path, data, schema):
    """(key, value, rule in words) of everything wrong with a file. data: its bytes."""
    rules = rules_for(path, schema)
    if rules is None:
        yield "", None, "is no file of this schema"
        return
    lines = data.splitlines() if path.startswith("faults.") else [data]
    for n, line in enumerate(lines):
        obj, why = unseal(line)
        at = f"line {n + 1}: " if len(lines) > 1 else ""
        if obj is None:
            obj = _by_hand(line)
            yield at.strip(": "), None, why + ("; if it was changed by hand: --seal" if obj else "")
        if obj is None:
            continue
        if obj["schema"] > file_format.SCHEMA:
            yield at + "schema", obj["schema"], f"is of a newer version; this one knows {file_format.SCHEMA}"
        elif any(n not in file_format.STEPS for n in range(obj["schema"], file_format.SCHEMA)):
            yield at + "schema", obj["schema"], "is one that this version cannot read"
        elif obj["schema"] == file_format.SCHEMA:  # an older one is brought up to date when it is loaded
            yield from ((at + key, value, wrong) for key, value, wrong in problems(obj, rules))


def _by_hand(data):
    """The object in a file whose seal alone is wrong, or None."""
    try:
        obj = json.loads(data)
    except (ValueError, RecursionError):
        return None
    return {"schema": file_format.SCHEMA, **obj} if isinstance(obj, dict) else None


def resealed(data):
    """A file's bytes in canonical form with the right CRC. Errors: ValueError: it is not a JSON object."""
    try:
        obj = json.loads(data)
    except RecursionError:
        raise ValueError("is nested too deep") from None
    if not isinstance(obj, dict):
        raise ValueError("is not a JSON object")
    obj.pop("crc", None)
    return bytes(seal(obj, file_format.SCHEMA))
