"""Light -> what the channels of a personality must be. Called by the stage when light is dialled and at keyframes.

Values are ints on the scale 0..65535 of the slots, before the level is applied; parameter channels are not yet
clamped to the lamp's range, so that a fade between two lights stays exact in its middle (the tick clamps).
"""

from firmware.light import colour, emitters, white
from firmware.parts import once
from firmware.show.fixture_light import CCT, DUV, HUE, MIX, PARAMS, SAT, SCALE

finished = emitters.finished
_FULL = 65535
_FAR = 1 << 19  # unclamped values stay within the tick's 32-bit arithmetic


def prepared(personality):
    """What firmware/light/emitters.py must know of the emitters of a personality: found at first use, then kept."""
    if personality.mix is None:
        personality.mix = once("firmware.light.emitters_faces", "prepare", personality.emitters)
    return personality.mix


def drives(personality, light):
    """Drives 0..65535 of the emitters for the most light of the colour that `light` asks for.

    light: the six ints of a look. -> (list, miss in CIE 1976 u'v').
    """
    return finished(driving(personality, light))


def driving(personality, light):
    """As drives, in pieces of a few ms on the chip: a generator that returns what drives does."""
    if personality.mix is None:
        prepared(personality)
        yield
    over = _white(light)
    x, y = _colour(light, over)
    yield
    # A colour out of reach goes as far as the lamp can along the line of its hue over the light's own white.
    shares, _light, miss = yield from emitters.solving(personality.mix, x, y, over if light[SAT] else None)
    return [min(_FULL, max(0, int(s * _FULL + 0.5))) for s in shares], miss


def chromaticity(light):
    """CIE 1931 (x, y) of a light: its colour over its white."""
    return _colour(light, _white(light))


def _white(light):
    return white.xy(light[CCT] / SCALE[CCT], light[DUV] / SCALE[DUV])


def _colour(light, over):
    sat = (light[SAT] / SCALE[SAT]) * (light[MIX] / SCALE[MIX])
    return colour.over_xy(light[HUE] / SCALE[HUE], sat, light[CCT] / SCALE[CCT], over) if sat > 0 else over


def channel(does, low, high, light):
    """Slot value of a parameter channel (cct, duv, hue, sat, mix) for a light, unclamped within +-2**19."""
    p = PARAMS.index(does)
    return slot(light[p] / SCALE[p], low, high)


def slot(value, low, high):
    """Slot value of a physical value, 0..65535 from low to high, unclamped within +-2**19."""
    return max(-_FAR, min(_FAR, int((value - low) * _FULL / (high - low) + 0.5)))
