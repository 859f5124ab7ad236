"""The rules over the nets: every board keeps them, and each breach is named."""

import types

import pytest

import boards
from boards import chips, circuit, modules, parts, port, rules

BOARDS = [boards.load(name) for name in boards.NAMES]
each = pytest.mark.parametrize("board", BOARDS, ids=boards.NAMES)


@each
def test_every_board_keeps_the_rules(board):
    assert rules.problems(board) == []


def test_no_part_is_listed_for_nothing():
    assert rules.unused(BOARDS) == []
    assert len(rules.unused(BOARDS[2:3])) > 3, "the OLED board needs no TFT, no input, no Pico 2"


def without(ref):
    return lambda every: [component for component in every if component.ref != ref]


def changed(ref, **fields):
    return lambda every: [component._replace(**fields) if component.ref == ref else component for component in every]


def renamed(ref, name):
    return lambda every: [component._replace(ref=name) if component.ref == ref else component for component in every]


def rewired(ref, **pins):
    """One component with some pins on other nets: by the number of the pin, as "_1"."""
    def move(every):
        return [component._replace(pins={name: pins.get("_" + name.split()[0], net) for name, net in
                                         component.pins.items()}) if component.ref == ref else component
                for component in every]
    return move


@pytest.mark.parametrize(("breach", "said"), [
    (without("D11"), "J11: A data + leaves the case without a surge clamp"),
    (rewired("D21", _2="B GND"), "J21: B data - leaves the case without a surge clamp"),
    (without("C16"), "A GND leaves the case without a capacitor"),
    (without("R13"), "J11: no 120 ohm"),
    (rewired("R23", _2="B data -"), "J21: no 120 ohm"),
    (without("R14"), "J11: the bias belongs on an out"),
    (without("R21"), "U21: nothing holds the driver off"),
    (without("R6"), "TIP leaves the case without a resistor"),
    (rewired("J5", _1="GP7"), "GP7 leaves the case straight from the controller"),
    (without("D1"), "J5: GP7 has no clamp"),
    (without("C5"), "J5: GP7 has no clamp"),
    (rewired("J4", _1="GP9"), "J4: no resistor that keeps the pin under 12 mA"),
    (changed("R5", part="r120"), "J4: no resistor that keeps the pin under 12 mA"),
    (changed("R7", part="r120", pins={"1": "A GND", "2": "GND"}), "R7: bridges the isolation"),
    (rewired("U21", _12="A data +"), "U21: bridges the isolation between  and A and B"),
    (without("C14"), "net A 3V3: no 4.7 uF"),
    (without("F1"), "5V: not behind the fuse"),
    (rewired("U1", _2="VBUS"), "U1: on VBUS, before the fuse"),
    (renamed("R5", "R6"), "R6: two components have this name"),
    (changed("R5", part="r47"), "R5: no part called 'r47'"),
    (without("J4"), "net SOUND: only one pin"),
])
def test_a_breach_is_named(breach, said, monkeypatch):
    board = boards.load("pico_tft")
    every = breach(circuit.components(board))
    if "r47" in said:
        assert any(said in sentence for sentence in rules.listed(every))
        return
    monkeypatch.setattr(circuit, "components", lambda _board: every)
    assert any(said in sentence for sentence in rules.problems(board)), rules.problems(board)


@pytest.mark.parametrize(("where", "name", "value", "said"), [
    (rules, "FUSE_MA", 300.0, "fuse F1 at 40 degrees C: 218 mA of 300 mA"),
    (port, "EFFICIENCY", 0.35, "USB, 5 V: 3"),
    (port, "DRIVER_TYPICAL_V", 4.0, "converter PS11: 77 mA of 100 mA"),
])
def test_a_supply_without_a_third_to_spare_is_named(where, name, value, said, monkeypatch):
    monkeypatch.setattr(where, name, value)
    assert any(said in sentence for sentence in rules.problems(boards.load("pico_tft")))


def test_the_bias_must_hold_the_line(monkeypatch):
    """562 ohm, the value for 5 V, is too much at 3.3 V."""
    monkeypatch.setitem(port.OHMS, "r357", 562.0)
    assert any("V at rest, under 0.245 V" in sentence for sentence in rules.problems(boards.load("pico_tft")))


@each
def test_the_controllers_pins_are_on_the_nets_of_the_board_file(board):
    controller = circuit.components(board)[0]
    labels = {number: label for label, number in modules.pins(board.MODULE)}
    for pin, net in controller.pins.items():
        label = labels[int(pin.split()[0])]
        assert net == (modules.name(board.MODULE, label) if isinstance(label, int) or label == "GND" else
                       {"VBUS": "VBUS", "5V": "VBUS", "RUN": "RESET", "RST": "RESET", "AGND": "GND"}[label])
    gpios = {label for number, label in labels.items() if isinstance(label, int)
             and any(pin.split()[0] == str(number) for pin in controller.pins)}
    wanted = {pin for what, pin, _, _ in chips.asks(board) if not what.endswith(chips.OPEN)}
    assert gpios == wanted - set(modules.fixed(board))
    assert not gpios & set(chips.opened(board))


def test_pin_numbers_of_a_pico():
    """Source: the Pico's pin-out sheet (from memory): VBUS 40, 3V3 36, RUN 30, GP0 1, GP15 20, GP16 21, GP22 29."""
    numbers = {}
    for label, number in modules.pins("pico"):
        numbers.setdefault(label, number)
    assert [numbers[label] for label in ("VBUS", "3V3", "RUN", 0, 15, 16, 22)] == [40, 36, 30, 1, 20, 21, 29]
    assert ("GND", 38) in modules.pins("pico")


def test_numbers_of_the_chips_pins():
    """Source: KiCad 6.0's symbol library, read 2026: ISO3082DW, MCP1700x (TO-92), MCP120-xxxDxTO, IA0505S (as IH0503S),
    SM712_SOT23."""
    made = {component.ref: component.pins for component in circuit.components(boards.load("pico_tft"))}
    theirs = {"U11": {"1": "VCC1", "2": "GND1", "3": "R", "4": "/RE", "5": "DE", "6": "D", "8": "GND1", "9": "GND2",
                      "12": "A", "13": "B", "15": "GND2", "16": "VCC2"},
              "U1": {"1": "GND", "2": "in", "3": "out"}, "U2": {"1": "reset", "2": "VDD", "3": "VSS"},
              "PS11": {"1": "+Vin", "2": "-Vin", "5": "0V", "6": "+Vout"},
              "D11": {"1": "line", "2": "line", "3": "common"}}
    for ref, pins in theirs.items():
        assert dict(name.split() for name in made[ref]) == pins


def test_a_board_without_sounder_and_jack_has_none_of_their_parts():
    base = boards.load("pico_oled")
    data = {key: value for key, value in vars(base).items() if key.isupper()}
    bare = types.SimpleNamespace(**{**data, "BUZZER": None, "FOOT": None})
    assert not {"sounder", "r330", "diode", "r22k"} & set(parts.needed(bare)) and rules.problems(bare) == []
