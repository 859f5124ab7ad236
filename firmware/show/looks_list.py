"""Finds the looks of a show on flash when it is opened. Loaded by looks.Looks for that."""

from micropython import const

from firmware.show import looks_edit

_NUMBER_MOST = const(65535)


def load(looks):
    """Read the names from flash."""
    there = set()
    for file in looks.disk.list(looks.folder):
        if file.endswith(".json") and file[:-5].isdigit() and int(file[:-5]) <= _NUMBER_MOST:
            there.add(int(file[:-5]))
    order = looks.read_file(looks.order_path)
    order = order["looks"] if order else []
    found = [(ident, name) for ident, name in order if ident in there]
    for ident in sorted(there.difference([ident for ident, _name in found])):
        look = looks.read_file(looks.path(ident))
        if look:
            found.append((ident, look["name"]))
    looks.highest = max([0] + [ident for ident, _name in order] + [ident for ident, _name in found])
    looks.take([ident for ident, _name in found], [name for _ident, name in found])
    if len(found) != len(order) or len(there) > len(found):
        looks_edit.mend(looks)
