"""Matching two lamps: what to set one to so that its white is that of the other. A pure function."""

from firmware.light import colour, white


def match(wanted, measured, setting, ccts, duvs=(0.0, 0.0)):
    """Setting that brings lamp B to the white of lamp A: (cct, duv, left).

    wanted: (K, Duv) measured of A; measured: (K, Duv) measured of B while it was set to `setting`, (K, Duv). ccts:
    lowest and highest K that B can be set to; duvs: lowest and highest Duv, both 0 for a lamp without plus/minus green.
    left: the difference that remains, in CIE 1976 u'v'. B is taken to be off by the same mired and Duv at the new
    setting: where left or the step is large, measure once more and match again.
    """
    off = white.mired(measured[0]) - white.mired(setting[0])
    off_duv = measured[1] - setting[1]
    most, least = white.mired(ccts[0]), white.mired(ccts[1])
    mireds = min(max(white.mired(wanted[0]) - off, least), most)
    duv = min(max(wanted[1] - off_duv, duvs[0]), duvs[1])
    got = white.xy(white.kelvin(mireds + off), duv + off_duv)
    return white.kelvin(mireds), duv, colour.delta_uv(*(got + white.xy(*wanted)))
