"""Holds the content of a JSON file whose checksum is right against what may stand in it (file_rules.py). Loaded by
file_store.py for each file, and by the host's check.

A file that was edited by hand, or by a tool, may hold anything. What is wrong is taken out: an item of a list, an
optional key, in whose place the reader's default comes. Where a key that must be there is missing or wrong, the file is
damaged as a whole, and its last good copy is used.
"""

from firmware.show import file_format
from firmware.show.file_disk import free_bad_name
from firmware.show.file_rules import CURVE, FILES, LIST, OBJECT, OPTIONAL, RECORD, TEXT, TRUTH, WHOLE
from firmware.show.file_write import put_in_place

_HOLDS = {WHOLE: "a whole number", TEXT: "text", TRUTH: "true or false", OBJECT: "an object", LIST: "a list",
          RECORD: "a list", CURVE: "text or a list"}
_SHOWN = 24  # letters of a wrong value


def mend(disk, path, obj):
    """What file_store.load returns, for a file of the present schema with that content: (obj, fault). The file as it
    was is set aside, and what is left of it takes its place; obj None: nothing of it can be used."""
    faults, whole = check(path, obj)
    if not faults:
        return obj, None
    words = faults[0] + (" and %d more" % (len(faults) - 1) if len(faults) > 1 else "")
    if not whole:
        return None, "is wrong: " + words
    words = "%s: %s" % (path, words)
    try:
        put_in_place(disk, path, file_format.seal(obj, file_format.SCHEMA), free_bad_name(disk, path))
    except OSError:
        pass  # where it cannot be written it is mended in memory only
    return obj, words + ": left out, the file as it was is set aside"


def check(path, obj, newer=False):
    """Take what is wrong out of the content of a file -> (faults in words, True where the rest can be used). newer: of
    a newer version, whose other keys are left alone."""
    rules = FILES.get("captures" if path.startswith("captures/") else path.rpartition("/")[2])
    faults = []
    if rules is None:
        return faults, True
    return faults, _members(rules, obj, None, faults, newer)


def _is_good(rule, value, place, faults):
    """True for a value that may stand there, once what can be taken out of it is; else its fault is added. place:
    (place of what holds it or None, its key or number there); only a fault is worth making words of it."""
    kind, held = rule[0] & ~OPTIONAL, type(value)
    if kind == CURVE:
        kind = TEXT if held is str else RECORD
    if held is not (int, str, bool, dict, list, list)[kind]:
        faults.append("%s = %s must be %s" % (_words(place), _shown(value), _HOLDS[rule[0] & ~OPTIONAL]))
        return False
    if kind == TRUTH:
        return True
    if kind == LIST:
        _leave_out(rule, value, place, faults)
    elif kind == OBJECT and not _members(rule[3], value, place, faults):
        return False
    size = value if kind == WHOLE else len(value)
    if not rule[1] <= size <= rule[2] or kind == TEXT and not _is_text(value):
        unit = {WHOLE: "", TEXT: " letters"}.get(kind, " items")
        faults.append("%s = %s must be %d to %d%s" % (_words(place), _shown(value), rule[1], rule[2], unit))
        return False
    if kind == RECORD:
        for n, item in enumerate(value):
            its = rule[4][n] if rule[4] else rule[3]
            if its[0] & ~OPTIONAL == WHOLE and type(item) is int and its[1] <= item <= its[2]:
                continue  # nearly all that files hold, and quick
            if not _is_good(its, item, (place, n), faults):
                return False
    return True


def _leave_out(rule, value, place, faults):
    """Take the wrong items out of a list, and what is beyond its length."""
    kept = []
    for n, item in enumerate(value):
        if n >= rule[2]:
            faults.append("%s has %d items, can have %d" % (_words(place), len(value), rule[2]))
            break
        if _is_good(rule[3], item, (place, n), faults):
            kept.append(item)
    value[:] = kept


def _members(rules, value, place, faults, newer=False):
    """Check the keys of an object: optional ones, and those that are named by a uid, are taken out where they are wrong
    -> True where all that must be there is."""
    if "*" in rules:
        for key in list(value):
            at = place, key
            if not (key.isdigit() and len(key) < 6 and 1 <= int(key) <= 65535):
                faults.append("%s is no uid" % _words(at))
                del value[key]
            elif not _is_good(rules["*"], value[key], at, faults):
                del value[key]
        return True
    good = True
    for key in list(value):
        at = place, key
        if key in rules:
            if not _is_good(rules[key], value[key], at, faults):
                good = good and rules[key][0] >= OPTIONAL
                del value[key]
        elif not newer and (place or key != "schema"):
            faults.append("%s is not in the schema" % _words(at))
            del value[key]
    for key in rules:
        if good and rules[key][0] < OPTIONAL and key not in value:
            faults.append("%s is missing" % _words((place, key)))
            good = False
    return good


def _words(place):
    """A place in a file: "fixtures[3].trims.lag"."""
    holder, key = place
    if isinstance(key, int):
        return "%s[%d]" % (_words(holder), key)
    return "%s.%s" % (_words(holder), key) if holder else key


def _is_text(value):
    """True for a text without halves of a surrogate pair, which JSON can hold and UTF-8 cannot."""
    return not any(0xD800 <= ord(letter) <= 0xDFFF for letter in value)


def _shown(value):
    try:
        text = repr(value)
    except RuntimeError:  # nested too deep
        text = "..."
    return text if len(text) <= _SHOWN else text[:_SHOWN] + "..."
