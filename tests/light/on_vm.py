"""Every public function of firmware/light, called: on the VM this prints the results, in test_vm.py they are compared.

Runs on MicroPython and on CPython; the arguments are the paths to import from.
"""

import sys


def results():
    """(name, result) of each call; errors as their words."""
    from firmware.light import (
        chromaticity,
        colour,
        curves,
        emitters,
        emitters_faces,
        exposure,
        filters,
        level,
        match,
        trims,
        white,
    )

    lamp = (("red", 0.69, 0.308, 0.35), ("green", 0.19, 0.7, 0.9), ("blue", 0.155, 0.025, 0.12))
    lamp += (("cool", 0.313, 0.329, 1.5),)
    mix, rich = emitters_faces.prepare(lamp), emitters_faces.prepare(lamp, 0.2)
    points = trims.dimming([(0.1, 9), (0.3, 85), (0.25, 62), (0.6, 350), (0.8, 348), (1, 1000)])
    mapped = trims.white_map([(0, 2800, 0.001), (0.4, 3600, -0.002), (1, 6400, 0.003)])
    calls = (
        (white.xy, 5600, 0.01), (chromaticity.cct_duv, 0.33, 0.35),
        (white.shift, 3200, -134), (white.between, 2000, 6000, 0.5), (white.green_fraction, -0.013),
        (filters.green_duv, "+1/2"), (white.xy, 0), (filters.green_duv, ""),
        (colour.over_white, 200, 0.5, 5600, 0.002), (chromaticity.hue_sat, 0.2, 0.3, 5600),
        (colour.srgb, 0.2, 0.3, 0.5), (filters.gel, 0.2, 0.15, 0.12, (0.45, 0.41), (0.31, 0.33)),
        (colour.delta_uv, 0.2, 0.3, 0.3, 0.3),
        (emitters.solve, mix, 0.38, 0.37), (emitters.solve, mix, 0.1, 0.8),
        (emitters.solve, mix, 0.1, 0.8, (0.45, 0.41)), (emitters.solve, rich, 0.32, 0.36),
        (emitters.read, mix, (0.1, 0.2, 0.3, 0.4)),
        (emitters.solve, emitters_faces.prepare(lamp[2:]), 0.3, 0.3), (emitters_faces.prepare, lamp[:1]),
        (emitters_faces.prepare, (lamp[0], lamp[0])),
        (curves.apply, curves.table("s", 0.1), 777), (curves.apply, curves.table("log"), 65536),
        (curves.apply, curves.table(points, 0.02), 3000), (curves.table, "x"),
        (level.dial, 0.4, -1, "1/3"), (level.dial_stops, [0.5, 0.1, 0], 2), (level.words, -1.33), (level.stops, 0),
        (trims.white_setting, mapped, 4300, 0.001), (trims.lag, 0.02, 0.2), (trims.dimming, [(0.5, 3), (1, 2)]),
        (exposure.aperture, 1076, 100, 0.02), (exposure.stop_name, 3.2), (exposure.move, 1.9, 3),
        (exposure.levels, ("key", "fill"), (1000, 300), (0, 2), 250), (exposure.levels, ("key",), (100,), (0,), 250),
        (match.match, (5600, 0.002), (5300, -0.001), (5600, 0), (2700, 6500), (-0.02, 0.02)),
    )  # fmt: skip
    return [(call[0].__name__, _said(*call)) for call in calls]


def _said(call, *args):
    try:
        return call(*args)
    except ValueError as error:
        return str(error)


if __name__ == "__main__":
    sys.path.extend(sys.argv[1:])
    print(repr(results()))
