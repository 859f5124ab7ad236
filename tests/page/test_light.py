"""The simulated lamps, the set and the meters, against colour-science, the inverse square law and ISO 2720."""

import math
import warnings

import pytest

from sim import cie, kitchen, scene
from sim.lamps import Lamp

with warnings.catch_warnings():
    warnings.simplefilter("ignore")  # colour-science tells at import which optional packages it misses
    import colour


@pytest.mark.parametrize("cct", [1700, 2700, 3200, 4300, 5600, 6500, 10000, 15000])
def test_planck_against_colour_science(cct):
    """Planck's law over the observer: colour-science sums at 1 nm by ASTM E308, we at 10 nm."""
    power = colour.sd_blackbody(cct, colour.SpectralShape(360, 780, 1))
    expected = colour.XYZ_to_xy(colour.sd_to_XYZ(power, method="Integration"))
    assert cie.planck(cct) == pytest.approx(tuple(expected), abs=2.5e-4)


@pytest.mark.parametrize("cct", [2000, 3200, 5600, 9000])
@pytest.mark.parametrize("duv", [-0.02, -0.003, 0.0, 0.006, 0.02])
def test_white_and_meter_against_ohno(cct, duv):
    """Ohno's method (LEUKOS 2014), as colour-science has it, reads our white back; so does our meter."""
    chromaticity = cie.white(cct, duv)
    ohno_cct, ohno_duv = colour.temperature.uv_to_CCT_Ohno2013(cie.uv(*chromaticity))
    assert ohno_cct == pytest.approx(cct, rel=0.004)
    assert ohno_duv == pytest.approx(duv, abs=2.5e-4)
    read_cct, read_duv = cie.measure(cie.xyz(chromaticity, 100))
    assert read_cct == pytest.approx(cct, rel=2e-4)
    assert read_duv == pytest.approx(duv, abs=1e-5)


def test_meter_names_no_white_for_a_colour():
    """CIE 015: a CCT has no meaning farther than 0.05 from the locus."""
    assert cie.measure(cie.xyz((0.175, 0.7))) == (None, None)
    assert cie.measure((0, 0, 0)) == (None, None)


PAIR = [("level", 0, 1, 0, 1, 0, 0), ("cct", 2, -1, 2700, 6500, 0, 0)]


def settled(lamp, slots):
    return lamp.step(bytes(slots) + bytes(512 - len(slots)), 1000)


def test_a_perfect_lamp_does_what_its_slots_ask():
    lamp = Lamp(PAIR, nature={"peak": 1000})
    emitted = settled(lamp, [0x80, 0x00, 255])
    assert emitted[1] == pytest.approx(1000 * 0x8000 / 65535)
    assert cie.measure(emitted)[0] == pytest.approx(6500, rel=1e-3)


def test_dimming_curve_and_white_errors():
    lamp = Lamp(PAIR, nature={"peak": 1000, "curve": 2.0, "mired": 10, "duv": -0.004})
    emitted = settled(lamp, [0x80, 0x00, 255])
    assert emitted[1] == pytest.approx(1000 * (0x8000 / 65535) ** 2)
    cct, duv = cie.measure(emitted)
    assert 1e6 / cct == pytest.approx(1e6 / 6500 + 10, abs=0.1)
    assert duv == pytest.approx(-0.004, abs=1e-5)


def test_lag_is_a_first_order_one():
    """After one time constant, 1 - 1/e of the way; the same in ten small steps as in one."""
    on, coarse = bytes([255, 255, 0]) + bytes(509), Lamp(PAIR, nature={"peak": 1, "lag": 0.2})
    fine = Lamp(PAIR, nature={"peak": 1, "lag": 0.2})
    for lamp in (coarse, fine):
        settled(lamp, [0, 0, 0])
    coarse.step(on, 0.2)
    for _ in range(10):
        fine.step(on, 0.02)
    assert coarse.xyz[1] == pytest.approx(1 - math.exp(-1))
    assert fine.xyz == pytest.approx(coarse.xyz)


def test_filament_reddens_as_it_dims():
    """Colour temperature goes with the 0.42/3.4th power of the light (IES, from memory): at a tenth, 2257 K."""
    lamp = Lamp([("level", 0, -1, 0, 1, 0, 0)], nature={"peak": 100, "filament": True})
    assert cie.measure(settled(lamp, [255]))[0] == pytest.approx(3000, rel=1e-3)
    dimmed = settled(lamp, [26])
    assert cie.measure(dimmed)[0] == pytest.approx(3000 * (26 / 255) ** (0.42 / 3.4), rel=1e-3)
    assert settled(lamp, [0]) == (0, 0, 0)


def test_emitters_add_up():
    """Grassmann's laws: the light of two emitters is the sum of each alone."""
    emitters = [("red", 0.69, 0.305, 0.25), ("green", 0.175, 0.7, 0.6)]
    channels = [("red", 0, -1, 0, 1, 0, 0), ("green", 1, -1, 0, 1, 0, 0)]
    red, green, both = (
        settled(Lamp(channels, emitters), slots) for slots in ([200, 0], [0, 90], [200, 90])
    )
    assert both == pytest.approx([a + b for a, b in zip(red, green, strict=True)])
    assert colour.XYZ_to_xy(red) == pytest.approx((0.69, 0.305))


SPOT = {"at": (0.0, 0.0, 3.0), "aim": (0.0, 0.0, 0.0), "beam": 40}
UP = (0.0, 0.0, 1.0)


def test_inverse_square_and_cosine():
    """Lambert: E = I cos(i) / d². 1 cd at 3 m gives 1/9 lux; tilted by 60 degrees, half."""
    assert scene.falls(SPOT, (0, 0, 0), UP, solids=()) == pytest.approx(1 / 9)
    tilted = (math.sin(math.radians(60)), 0.0, math.cos(math.radians(60)))
    assert scene.falls(SPOT, (0, 0, 0), tilted, solids=()) == pytest.approx(0.5 / 9)
    assert scene.falls(SPOT, (0, 0, 0), (0, 0, -1.0), solids=()) == 0


def test_beam_is_half_at_its_edge():
    """Beam angle: between the directions of half the peak intensity. Source: ANSI/IES LS-1, from memory."""
    edge = math.radians(20)
    assert scene.intensity(SPOT, (math.sin(edge), 0, -math.cos(edge))) == pytest.approx(0.5)
    assert scene.intensity(SPOT, UP) == 0
    assert scene.intensity({**SPOT, "beam": None}, UP) == 1


def test_dome_is_a_cardioid():
    """ISO 2720: a dome's response goes with (1 + cos) / 2: half from the side, none from behind."""
    side, behind = (1.0, 0.0, 0.0), (0.0, 0.0, -1.0)
    assert scene.falls(SPOT, (0, 0, 0), side, dome=True, solids=()) == pytest.approx(0.5 / 9)
    assert scene.falls(SPOT, (0, 0, 0), behind, dome=True, solids=()) == pytest.approx(0)


SOLIDS = [
    {"kind": "box", "low": (-0.1, -0.1, 1), "high": (0.1, 0.1, 1.2)},
    {"kind": "ball", "at": (0, 0, 1), "radii": (0.1, 0.2, 0.3)},
    {"kind": "can", "at": (0, 0, 1), "radius": 0.1, "height": 0.2},
]


@pytest.mark.parametrize("solid", SOLIDS, ids=lambda solid: solid["kind"])
def test_solids_cast_shadows(solid):
    assert scene.falls(SPOT, (0, 0, 0), UP, solids=[solid]) == 0
    assert scene.falls(SPOT, (0.3, 0, 0), UP, solids=[solid]) > 0
    assert scene.falls(SPOT, (0, 0, 0), UP, solids=[{**solid, "clear": True}]) > 0
    assert scene.falls(SPOT, (0, 0, 2), UP, solids=[solid]) == pytest.approx(1)  # above it: no shadow
    sideways = {**SPOT, "at": (3.0, 0.0, 1.1), "aim": (0.0, 0.0, 1.1)}
    assert scene.falls(sideways, (-1, 0, 1.1), (1.0, 0, 0), solids=[solid]) == 0
    assert scene.falls(sideways, (-1, 0.5, 1.1), (1.0, 0, 0), solids=[solid]) > 0


def test_light_meter():
    """ISO 2720: N² / t = E S / C. With a dome (C 340) 160 lux at ISO 800, 24 fps, 180 degrees ask for T2.8."""
    assert scene.exposure(160, 800, 24, 180) == pytest.approx(2.8, abs=0.005)
    assert scene.exposure(320, 800, 24, 180) == pytest.approx(2.8 * math.sqrt(2), abs=0.01)
    assert scene.exposure(0, 800, 24, 180) is None


@pytest.mark.parametrize(
    ("number", "text"), [(1, "1"), (2.828, "2.8"), (2.828 * 2**0.25, "2.8 +5/10"), (5.6, "5.6"), (0.7, "under 1")]
)
def test_stops_as_people_say_them(number, text):
    assert scene.stop_text(number) == text


def test_stops_in_thirds_where_the_device_has_thirds():
    assert [scene.stop_text(2.828 * 2 ** (n / 6), 3) for n in range(4)] == ["2.8", "2.8 +1/3", "2.8 +2/3", "4"]


def test_reading_at_the_mark():
    """Only the key on: lux is candela over the square of the distance, times the dome's cardioid."""
    spot, mark = kitchen.SPOTS["Key"], kitchen.MARK
    away = [a - b for a, b in zip(spot["at"], mark["at"], strict=True)]
    distance = math.hypot(*away)
    facing = -away[1] / distance
    read = scene.reading([(spot, cie.xyz(cie.white(3200), 1000))], mark["at"], mark["normal"], True,
                         {"iso": 800, "fps": 24, "shutter": 180})  # fmt: skip
    assert read["lux"] == pytest.approx(1000 / distance**2 * (1 + facing) / 2, rel=0.01)
    assert read["fc"] == pytest.approx(read["lux"] / 10.764, rel=1e-4)
    assert read["cct"] == pytest.approx(3200, rel=1e-3)
    assert read["duv"] == pytest.approx(0, abs=1e-5)
    assert (read["parts"], read["constant"]) == (10, 340)


def test_every_fixture_gets_a_place():
    names = ["Key", "No such lamp", "Key", *(f"Extra {n}" for n in range(10))]
    assert len(scene.description(names)["lamps"]) == len(names)
