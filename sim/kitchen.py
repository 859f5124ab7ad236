"""Night kitchen: the simulated set. Only data: the camera, the solids, and where each lamp of the demo show stands.

Metres; x to the right of the camera, y away from it, z up; the subject sits at x = y = 0. Colours are the share of
light reflected in the red, green and blue of ITU-R BT.2020. Used by scene.py, and by the page's own tracer.
"""

CAMERA = {"at": (0.0, -3.7, 1.38), "to": (0.0, 0.2, 1.12), "fov": 28.0}  # fov: degrees, from top to bottom

# The mark: the subject's face, and the direction in which the meter's dome points.
MARK = {"at": (0.0, -0.14, 1.26), "normal": (0.0, -1.0, 0.0)}

_PLASTER = (0.52, 0.50, 0.46)
_WOOD = (0.36, 0.23, 0.13)
_DARK_WOOD = (0.20, 0.13, 0.08)
_SKIN = (0.52, 0.36, 0.27)
_SHIRT = (0.16, 0.22, 0.25)
_HAIR = (0.045, 0.035, 0.03)
_CHINA = (0.72, 0.71, 0.68)
_ORANGE = (0.62, 0.27, 0.05)
_NIGHT = (0.03, 0.03, 0.03)


def _box(low, high, colour, **more):
    return dict(more, kind="box", low=low, high=high, colour=colour)


def _ball(at, radii, colour, **more):
    """An ellipsoid with its axes along x, y, z."""
    return dict(more, kind="ball", at=at, radii=radii, colour=colour)


def _can(at, radius, height, colour, **more):
    """An upright cylinder that stands on `at`."""
    return dict(more, kind="can", at=at, radius=radius, height=height, colour=colour)


# glow: the lamp whose light shows through; gain: cd/m² for each candela of it. clear: does not block light.
ROOM = (
    _box((-3.0, -4.2, -0.1), (3.0, 2.1, 0.0), _DARK_WOOD),
    # The back wall, around the window.
    _box((-3.0, 1.9, 0.0), (-1.45, 2.0, 3.0), _PLASTER),
    _box((-0.55, 1.9, 0.0), (3.0, 2.0, 3.0), _PLASTER),
    _box((-1.45, 1.9, 0.0), (-0.55, 2.0, 1.08), _PLASTER),
    _box((-1.45, 1.9, 1.92), (-0.55, 2.0, 3.0), _PLASTER),
    _box((-2.4, 0.0, 0.0), (-2.3, 1.9, 3.0), _PLASTER),
    _box((2.3, 0.0, 0.0), (2.4, 1.9, 3.0), _PLASTER),
    # The window: sill, frame, bars and the night outside.
    _box((-1.52, 1.80, 1.04), (-0.48, 1.98, 1.08), _CHINA),
    _box((-1.02, 1.92, 1.08), (-0.98, 1.98, 1.92), _CHINA),
    _box((-1.45, 1.92, 1.48), (-0.55, 1.98, 1.52), _CHINA),
    _box((-1.45, 1.97, 1.08), (-0.55, 1.975, 1.92), _NIGHT, glow="Window", gain=0.0016, clear=True),
)

TABLE = (
    _box((-1.0, -0.95, 0.72), (1.0, -0.18, 0.76), _WOOD),
    _box((-0.95, -0.9, 0.0), (-0.88, -0.83, 0.72), _DARK_WOOD),
    _box((0.88, -0.9, 0.0), (0.95, -0.83, 0.72), _DARK_WOOD),
    # On the table: a grey card (18 %) and a white one, a mug, a bowl of oranges.
    _box((-0.74, -0.44, 0.76), (-0.58, -0.43, 0.90), (0.18, 0.18, 0.18), name="grey card"),
    _box((-0.58, -0.44, 0.76), (-0.50, -0.43, 0.90), (0.88, 0.88, 0.88), name="white card"),
    _can((0.33, -0.46, 0.76), 0.042, 0.095, _CHINA),
    _ball((0.62, -0.50, 0.79), (0.15, 0.15, 0.035), (0.12, 0.20, 0.24)),
    _ball((0.57, -0.52, 0.84), (0.042, 0.042, 0.042), _ORANGE),
    _ball((0.66, -0.53, 0.84), (0.041, 0.041, 0.041), _ORANGE),
    _ball((0.62, -0.45, 0.845), (0.043, 0.043, 0.043), _ORANGE),
)

# The practical stands on it, and there is a shelf over it.
SIDEBOARD = (
    _box((0.62, 1.42, 0.0), (2.3, 1.9, 0.84), _WOOD),
    _box((0.60, 1.40, 0.84), (2.3, 1.9, 0.88), _DARK_WOOD),
    _box((0.85, 1.68, 1.66), (1.9, 1.9, 1.69), _DARK_WOOD),
    _can((0.98, 1.79, 1.69), 0.055, 0.16, _CHINA),
    _can((1.14, 1.80, 1.69), 0.05, 0.20, (0.30, 0.12, 0.08)),
    _ball((1.36, 1.79, 1.76), (0.10, 0.08, 0.07), (0.14, 0.24, 0.22)),
    _can((1.05, 1.62, 0.88), 0.07, 0.02, _DARK_WOOD),
    _can((1.05, 1.62, 0.90), 0.014, 0.16, _DARK_WOOD),
    _can((1.05, 1.62, 1.04), 0.13, 0.22, (0.55, 0.50, 0.42), glow="Practical", gain=2.2, clear=True),
)

SUBJECT = (
    _ball((0.0, 0.0, 1.26), (0.082, 0.105, 0.122), _SKIN, name="face"),
    _ball((0.0, -0.106, 1.245), (0.015, 0.02, 0.026), _SKIN),
    _ball((-0.084, 0.0, 1.25), (0.012, 0.022, 0.032), _SKIN),
    _ball((0.084, 0.0, 1.25), (0.012, 0.022, 0.032), _SKIN),
    _ball((0.0, 0.026, 1.30), (0.094, 0.106, 0.112), _HAIR),
    _can((0.0, 0.01, 1.0), 0.052, 0.18, _SKIN),
    _ball((0.0, 0.03, 1.015), (0.22, 0.095, 0.085), _SHIRT),
    _ball((0.0, 0.03, 0.80), (0.20, 0.125, 0.30), _SHIRT),
    _ball((-0.225, 0.0, 0.90), (0.06, 0.07, 0.17), _SHIRT),
    _ball((0.225, 0.0, 0.90), (0.06, 0.07, 0.17), _SHIRT),
    _ball((-0.15, -0.25, 0.80), (0.14, 0.05, 0.045), _SHIRT),
    _ball((0.15, -0.25, 0.80), (0.14, 0.05, 0.045), _SHIRT),
    _ball((0.0, -0.28, 0.80), (0.055, 0.045, 0.038), _SKIN),
)

# Solids that stand together: a ray that misses the box around a group misses all of it.
SOLIDS = tuple(
    dict(solid, group=name)
    for name, solids in (("room", ROOM), ("table", TABLE), ("sideboard", SIDEBOARD), ("subject", SUBJECT))
    for solid in solids
)

# Where each lamp stands and looks; beam: degrees between the half-peak rays, None for a bare bulb; size:
# radius of what glows, in metres (softens the shadows in the picture). nature: what the lamp does in truth
# (sim/lamps.py).
SPOTS = {
    "Key": {
        "at": (-1.6, -1.7, 2.15), "aim": (0.0, 0.0, 1.22), "beam": 60, "size": 0.22,
        "nature": {"peak": 3600, "curve": 1.0, "mired": 6, "duv": 0.0035, "lag": 0.03},
    },
    "Fill": {
        "at": (1.95, -1.75, 1.7), "aim": (0.0, 0.0, 1.15), "beam": 105, "size": 0.45,
        "nature": {"peak": 1500, "curve": 1.7, "mired": -9, "duv": -0.003, "span": 0.95, "lag": 0.12},
    },
    "Window": {
        "at": (-2.3, 3.7, 2.75), "aim": (-0.6, 0.2, 0.9), "beam": 46, "size": 0.15,
        "nature": {"peak": 9000, "curve": 1.2, "gains": {"blue": 0.9, "red": 1.06}, "lag": 0.04},
    },
    "Back": {
        "at": (1.5, 1.65, 2.7), "aim": (0.0, 0.0, 1.15), "beam": 34, "size": 0.1,
        "nature": {"peak": 3200, "curve": 2.0, "mired": 4, "duv": -0.002, "lag": 0.05},
    },
    "Practical": {
        "at": (1.05, 1.62, 1.15), "aim": (1.05, 1.62, 0.0), "beam": None, "size": 0.05,
        "nature": {"peak": 60, "filament": True, "curve": 2.2, "lag": 0.22},
    },
    "Backdrop": {
        "at": (0.05, 1.0, 0.3), "aim": (0.05, 1.9, 1.55), "beam": 95, "size": 0.12,
        "nature": {"peak": 700, "curve": 1.0, "gains": {"green": 0.94}, "lag": 0.03},
    },
}  # fmt: skip
