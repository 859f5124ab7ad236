"""Finds the font of a size. The canvas loads this module for each font; it is dropped again with the module of the
font, and only the bytes stay.

Small and body sizes come whole, with accented letters, which are nearly half of a font, and plain, without them.
"""


def data(size, plain):
    """The bytes of a font, as frame/glyphs.py reads them. size: 0, 1, 2 for small, body and large of a colour panel, 3,
    4, 5 for those of a small one; plain: True without accented letters."""
    if size == 0:
        return _small_plain() if plain else _small()
    if size == 1:
        return _body_plain() if plain else _body()
    if size == 2:
        from firmware.ui.fonts.figures import DATA

        return DATA
    if size == 3:
        return _tiny_plain() if plain else _tiny()
    if size == 4:
        return _small_plain() if plain else _small()
    return _body_plain() if plain else _body()


def _tiny():
    from firmware.ui.fonts.tiny import DATA

    return DATA


def _tiny_plain():
    from firmware.ui.fonts.tiny_plain import DATA

    return DATA


def _small():
    from firmware.ui.fonts.small import DATA

    return DATA


def _small_plain():
    from firmware.ui.fonts.small_plain import DATA

    return DATA


def _body():
    from firmware.ui.fonts.body import DATA

    return DATA


def _body_plain():
    from firmware.ui.fonts.body_plain import DATA

    return DATA
