"""The sums behind a port, held to a network solver (numpy) and to what ngspice 39 says of the same circuits."""

import numpy as np
import pytest

from boards import pages, port


def solve(resistors, sources):
    """Node voltages by nodal analysis. resistors: (node, node, ohms); sources: {node: volts}; node "0" is ground."""
    fixed = {"0": 0.0, **sources}
    nodes = sorted({n for one, other, _ in resistors for n in (one, other)} - set(fixed))
    matrix, right = np.zeros((len(nodes), len(nodes))), np.zeros(len(nodes))
    for one, other, ohms in resistors:
        for a, b in ((one, other), (other, one)):
            if a in nodes:
                matrix[nodes.index(a), nodes.index(a)] += 1 / ohms
                if b in nodes:
                    matrix[nodes.index(a), nodes.index(b)] -= 1 / ohms
                else:
                    right[nodes.index(a)] += fixed[b] / ohms
    return {**dict(zip(nodes, np.linalg.solve(matrix, right), strict=True)), **fixed}


def resting(supply, bias, end, ends, load=None):
    """Volts between the data lines of a biased line."""
    net = [("s", "p", bias), ("n", "0", bias)] + [("p", "n", end)] * ends
    if load:
        net += [("p", "0", load), ("n", "0", load)]
    volts = solve(net, {"s": supply})
    return volts["p"] - volts["n"]


def driven(series):
    """Volts of a 0 on the line: the driver, 3.0 V behind 27 ohm in each lead, works against the bias."""
    net = [("0", "p", 27 + series), ("o", "n", 27 + series), ("p", "n", 120), ("p", "n", 120), ("b", "p", 357),
           ("n", "0", 357)]
    volts = solve(net, {"o": 3.0, "b": 3.3})
    return volts["n"] - volts["p"]


@pytest.mark.parametrize(("ours", "solved", "spice"), [
    (port.rest(), resting(3.3, 357, 120, 2), 0.255814),
    (port.rest(worst=True, receivers=32), resting(3.234, 360.57, 118.8, 2, 375), 0.229330),
    (port.rest(bias=562, supply=5), resting(5, 562, 120, 2), 0.253378),
    (port.line_volts(), driven(0), 1.392174),
    (port.line_volts(10), driven(10), 1.137361),
])
def test_sums_agree_with_a_solver_and_with_ngspice(ours, solved, spice):
    """Source: nodal analysis here; ngspice 39's .op of the same networks. 32 unit loads: 12 kohm / 32 from each line to
    common (EIA-485-A, from memory)."""
    assert ours == pytest.approx(solved, abs=1e-9)
    assert ours == pytest.approx(spice, abs=2e-6)


def test_known_cases_of_the_bias():
    """562 ohm from 5 V: 0.253 V, the usual value (ANSI E1.20's example, from memory: 0.245 V wanted). 680 ohm: 0.211 V
    from 5 V, 0.139 V from 3.3 V; from 3.3 V no more than 374 ohm (these three by hand)."""
    assert round(port.rest(bias=562, supply=5), 3) == 0.253
    assert round(port.rest(bias=680, supply=5), 3) == 0.211
    assert round(port.rest(bias=680), 3) == 0.139
    assert port.rest(bias=374) >= 0.245 > port.rest(bias=375)
    assert port.rest(worst=True) >= port.REST_V == 0.245


def test_the_driver_is_not_overloaded():
    """EIA-485-A (from memory): 1.5 V into 54 ohm. Receivers decide at 0.2 V."""
    assert port.driver_load() >= port.DRIVER_LOAD == 54
    assert port.line_volts() > 5 * 0.2


def test_current_is_what_the_volts_give():
    """By hand: 2.0 V / 55.35 ohm is 36.1 mA; 5 mA of its own; 41.1 mA x 5.2 V is 214 mW, over 0.65 and 5 V 65.8 mA."""
    assert port.line_ma() == pytest.approx(41.13, abs=0.01)
    assert port.feed_ma() == pytest.approx(65.8, abs=0.1)


def test_the_page_shows_the_sums():
    page = pages.line_circuit(__import__("boards").load("pico_tft"))
    for what, how, result in port.sums():
        assert f"| {what} | {how} | {result} |" in page
    assert "| 256 mV |" in page and "no barrier against mains" in page
