"""The colours of the set in the browser, against colour-science; the tracer, against sim/scene.py."""

import math
import warnings

import numpy as np
import pytest

from sim import cie, scene

with warnings.catch_warnings():
    warnings.simplefilter("ignore")  # colour-science tells at import which optional packages it misses
    import colour

# What the page itself draws with, on patches instead of a traced set: one lamp a patch, one dot each.
PATCHES = """async ([patches, white]) => {
  const { cameraMatrix, planck } = await import('./colour.js');
  const { paint } = await import('./picture.js');
  const matrix = cameraMatrix(typeof white === 'number' ? planck(white) : white, Math.PI);
  return patches.map((xyz) => {
    const image = new ImageData(1, 1);
    paint(new Float32Array([1, 1, 1]), [xyz], matrix, image);
    return Array.from(image.data.slice(0, 3));
  });
}"""
D65 = (0.3127, 0.3290)


def lab(srgb):
    return colour.XYZ_to_Lab(colour.sRGB_to_XYZ(srgb), D65)


def patches():
    """xyY all over what sRGB can show (made from sRGB by colour-science), down to a thousandth of white."""
    dice = np.random.default_rng(20)
    colours = [colour.sRGB_to_XYZ(dice.uniform(0, 1, 3)) for _ in range(400)]
    whites = [np.array(cie.xyz(cie.white(cct, duv), 0.3)) for cct in (3200, 5600, 8000) for duv in (-0.01, 0, 0.01)]
    greys = [np.array(cie.xyz(D65, y)) for y in (0.001, 0.01, 0.18, 0.5, 0.99)]
    return colours + whites + greys


def test_srgb_of_xyz_within_one_delta_e(page):
    """Source: IEC 61966-2-1 and CIE ΔE2000, both by colour-science; the goal is 1.0 (a screen's byte is 0.5)."""
    wanted = patches()
    drawn = np.array(page.evaluate(PATCHES, [[[float(v) for v in xyz] for xyz in wanted], list(D65)])) / 255
    expected = np.clip([colour.XYZ_to_sRGB(xyz) for xyz in wanted], 0, 1)
    apart = colour.delta_E(lab(drawn), lab(expected), method="CIE 2000")
    assert len(apart) > 400
    assert apart.max() <= 1.0


@pytest.mark.parametrize("white", [3200, 5600])
def test_white_balance_is_bradfords(page, white):
    """Adaptation from the white's XYZ to D65 by Bradford's transform, by colour-science."""
    wanted = [cie.xyz(cie.white(cct, duv), 0.4) for cct in (2700, 3200, 4300, 6500) for duv in (-0.005, 0.0, 0.005)]
    drawn = np.array(page.evaluate(PATCHES, [wanted, white])) / 255
    source = colour.xy_to_XYZ(cie.planck(white))
    adapted = [
        colour.chromatic_adaptation(xyz, source, colour.xy_to_XYZ(D65), transform="Bradford") for xyz in wanted
    ]
    expected = np.clip([colour.XYZ_to_sRGB(xyz) for xyz in adapted], 0, 1)
    apart = colour.delta_E(lab(drawn), lab(expected), method="CIE 2000")
    assert apart.max() <= 1.0
    neutral = page.evaluate(PATCHES, [[cie.xyz(cie.planck(white), 0.18)], white])[0]
    assert max(neutral) - min(neutral) <= 1


def test_colours_no_screen_can_show_keep_their_luminance(page):
    """A deep blue outside sRGB grows pale, but not lighter or darker (luminance: IEC 61966-2-1's weights)."""
    deep = [cie.xyz((0.138, 0.048), 0.05), cie.xyz((0.17, 0.72), 0.3), cie.xyz((0.30, 0.15), 0.1)]
    drawn = np.array(page.evaluate(PATCHES, [deep, list(D65)])) / 255
    assert colour.sRGB_to_XYZ(drawn)[:, 1] == pytest.approx([xyz[1] for xyz in deep], rel=0.03)


CHAIN = """async ([basis, lights, white, lux, width, height]) => {
  const { cameraMatrix, planck } = await import('./colour.js');
  const { paint } = await import('./picture.js');
  const image = new ImageData(width, height);
  paint(new Float32Array(basis), lights, cameraMatrix(planck(white), lux), image);
  return Array.from(image.data);
}"""
TRACE = """([description, width, height]) => new Promise((done) => {
  const worker = new Worker('trace.js', { type: 'module' });
  worker.onmessage = ({ data }) => {
    if (data.pass === 8) { worker.terminate(); done(Array.from(data.basis)); }
  };
  worker.postMessage({ description, width, height, passes: 8 });
})"""


def test_the_tracer_agrees_with_the_meter(page):
    """A grey wall alone (so nothing bounces), two lamps and a ball that casts a shadow: what the page's tracer puts
    on each dot, against sim/scene.py's inverse square there, times reflectance / pi (Lambert)."""
    lamps = [
        {"name": "a", "at": (-1.0, -2.0, 1.5), "aim": (0, 0, 1), "beam": 40, "size": 0.001, "nature": {}},
        {"name": "b", "at": (1.5, -1.5, 0.5), "aim": (0, 0, 1), "beam": None, "size": 0.001, "nature": {}},
    ]
    wall = {"kind": "box", "low": (-3, 0, -3), "high": (3, 0.1, 5), "colour": (0.5, 0.25, 0.1), "group": "a"}
    ball = {"kind": "ball", "at": (0.3, -0.6, 1.0), "radii": (0.1, 0.1, 0.1), "colour": (0, 0, 0), "group": "b"}
    camera = {"at": (0.0, -4.0, 1.0), "to": (0.0, 0.0, 1.0), "fov": 30}
    width, height = 32, 20
    description = {"camera": camera, "solids": [wall, ball], "lamps": lamps}
    basis = np.array(page.evaluate(TRACE, [description, width, height])).reshape(height, width, 2, 3)
    tall = math.tan(math.radians(15)) * 4
    shadowed = loose = tight = 0
    for row in range(0, height, 3):
        for column in range(0, width, 3):
            x = ((2 * column + 1) / width - 1) * tall * width / height
            z = 1 + (1 - (2 * row + 1) / height) * tall
            if math.hypot(x - 0.25, z - 1) < 0.3:
                continue  # the ball itself, and dots at its edge
            for i, lamp in enumerate(lamps):
                near = [
                    scene.falls(lamp, (x + dx, 0, z + dz), (0, -1.0, 0), solids=[wall, ball])
                    for dx in (-0.06, 0, 0.06)  # a dot is 0.107 m across
                    for dz in (-0.06, 0, 0.06)
                ]
                if min(near) == 0 < max(near):
                    continue  # an edge of the shadow runs near
                shadowed += max(near) == 0
                for k in range(3):
                    least, most = (part(near) / math.pi * wall["colour"][k] for part in (min, max))
                    assert least * 0.99 <= basis[row, column, i, k] <= most * 1.01
                    loose += most > least * 1.3
                    tight += most <= least * 1.3
    assert shadowed >= 2
    assert tight > 2 * loose  # most dots are judged to better than 30 %


def test_the_set_from_lamps_to_screen(page):
    """The whole way of the picture, where nothing bounces: two lamps of different white light a wall; each dot against
    scene.falls there, Lambert, the camera's exposure, and Bradford and sRGB by colour-science, within ΔE2000 1.0."""
    lamps = [
        {"name": "a", "at": (-1.5, -3.0, 1.5), "aim": (0, 0, 1), "beam": 100, "size": 0.001, "nature": {}},
        {"name": "b", "at": (1.5, -3.0, 1.5), "aim": (0, 0, 1), "beam": 100, "size": 0.001, "nature": {}},
    ]
    wall = {"kind": "box", "low": (-3, 0, -3), "high": (3, 0.1, 5), "colour": (0.6, 0.6, 0.6), "group": "a"}
    camera = {"at": (0.0, -4.0, 1.0), "to": (0.0, 0.0, 1.0), "fov": 30}
    width, height, white, lux = 48, 30, 4300, 160
    description = {"camera": camera, "solids": [wall], "lamps": lamps}
    lights = [cie.xyz(cie.white(3200, 0.004), 900), cie.xyz(cie.white(6500, -0.003), 700)]
    basis = page.evaluate(TRACE, [description, width, height])
    drawn = np.array(page.evaluate(CHAIN, [basis, lights, white, lux, width, height])).reshape(height, width, 4) / 255
    tall, apart = math.tan(math.radians(15)) * 4, []
    for row in range(0, height, 4):
        for column in range(0, width, 4):
            x = ((2 * column + 1) / width - 1) * tall * width / height
            z = 1 + (1 - (2 * row + 1) / height) * tall
            pairs = list(zip(lamps, lights, strict=True))
            fallen = np.array(
                [sum(scene.falls(lamp, (x, 0, z), (0, -1.0, 0), solids=[wall]) * xyz[k] for lamp, xyz in pairs)
                 for k in range(3)]
            )  # fmt: skip
            seen = colour.chromatic_adaptation(
                fallen * 0.6 / lux, colour.xy_to_XYZ(cie.planck(white)), colour.xy_to_XYZ(D65), transform="Bradford"
            )
            expected = np.clip(colour.XYZ_to_sRGB(seen), 0, 1)
            apart.append(colour.delta_E(lab(drawn[row, column, :3]), lab(expected), method="CIE 2000"))
    assert max(apart) <= 1.0
    assert drawn[..., :3].std(axis=(0, 1)).min() > 0.01  # it is no even patch
