"""Three lamps that are not the firmware's through whole fades of the device: what trims are for. Goals: 0.1 stop (a
third is the smallest step that crews dial, common practice) and 0.002 in u'v' (about what shows side by side, common
practice)."""

from tests.bench import agree


def test_with_trims_on_three_lamps_agree_and_without_they_do_not():
    found = agree.figures()
    assert found["stops_on"] < 0.1 < 1 < found["stops_off"]
    assert found["duv_uv_on"] < 0.002 < 0.01 < found["duv_uv_off"]
    assert found["stops_on_90"] < 0.1 and found["duv_uv_on_90"] < 0.002
