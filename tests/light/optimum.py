"""What a general linear program (SciPy's HiGHS) says of an emitter set: the judge of firmware/light/emitters.py."""

import numpy as np
from scipy.optimize import linprog


def _columns(emitters):
    x, y, out = (np.array([e[k] for e in emitters], float) for k in (1, 2, 3))
    return out * x / y, out, out / y


def most_light(emitters, x, y):
    """The most luminance of exactly this chromaticity; None where no drives of 0..1 make it."""
    xs, ys, total = _columns(emitters)
    found = linprog(-ys, A_eq=np.stack([xs - x * total, ys - y * total]), b_eq=[0, 0], bounds=[(0, 1)] * len(ys))
    return -found.fun if found.status == 0 and found.fun < -1e-9 else None


def most_white(emitters, x, y, light, is_white):
    """The most luminance from white emitters with this chromaticity and at least this light."""
    xs, ys, total = _columns(emitters)
    found = linprog(
        -(ys * is_white),
        A_eq=np.stack([xs - x * total, ys - y * total]),
        b_eq=[0, 0],
        A_ub=[-ys],
        b_ub=[-light],
        bounds=[(0, 1)] * len(ys),
    )
    return -found.fun


def made(emitters, drives):
    """Chromaticity and luminance (x, y, light) that drives make, added up in CIE XYZ."""
    xs, ys, total = (float(column @ np.array(drives, float)) for column in _columns(emitters))
    return xs / total, ys / total, ys
