"""Rules that a board's circuit must keep, checked over its nets by `python -m boards check`.

`problems(board)` gives a sentence for each breach: pins that leave the case unprotected, supplies without a third to
spare, isolation that is bridged, parts in the nets that are on no list and the other way round.
"""

from boards import circuit, parts, port

SPARE = 0.30  # of every supply is left over (common practice, no source)
FUSE_MA = 340.0  # F1 holds this at 40 degrees C (0.40 A at 23; from memory of the maker's table)
USB_MA = 500.0  # USB 2.0: one configured device
REGULATOR_MA = 250.0
PIN_MA = 12.0  # the most that a pin of an RP2040 is set to give (data sheet, from memory)
BRIDGES = ("transceiver", "converter", "cy")  # the only parts that stand across the isolation


def problems(board):
    """Everything that breaks a rule: list of sentences, empty when all is well."""
    every = circuit.components(board)
    found = listed(every)
    for rule in (single, isolation, ports, foot, sounder, decoupled):
        found += rule(every)
    found += [f"{name}: {draw:.0f} mA of {limit:.0f} mA: less than {SPARE:.0%} to spare"
              for name, draw, limit in budget(board) if draw > (1 - SPARE) * limit]
    return [f"{board.NAME}: {sentence}" for sentence in found]


def on(every, net):
    """The components that touch a net."""
    return [component for component in every if net in component.pins.values()]


def across(every, part, one, other):
    """True where a component of that part joins the two nets."""
    return any(component.part == part and {one, other} <= set(component.pins.values()) for component in every)


def listed(every):
    """Each component is a part that the lists know; no two share a ref."""
    refs = [component.ref for component in every]
    return ([f"{component.ref}: no part called {component.part!r} in boards/parts.py" for component in every
             if component.part not in parts.PARTS]
            + [f"{ref}: two components have this name" for ref in sorted(set(refs)) if refs.count(ref) > 1])


def unused(boards):
    """Parts on the list that no board, extra or option names."""
    named = set(parts.OPTIONS)
    for board in boards:
        named |= set(parts.needed(board))
    return [f"boards/parts.py: {key!r} is in no board's nets" for key in parts.PARTS if key not in named]


def single(every):
    """A net with one pin leads nowhere."""
    nets = [net for component in every for net in component.pins.values()]
    return [f"net {net}: only one pin" for net in sorted(set(nets)) if nets.count(net) == 1]


def isolation(every):
    """Nothing but the isolating parts stands with one foot on each side, and nothing in two ports."""
    found = []
    for component in every:
        sides = {circuit.domain(net) for net in component.pins.values()}
        if len(sides) > 1 and (component.part not in BRIDGES or len(sides - {""}) > 1):
            found.append(f"{component.ref}: bridges the isolation between {' and '.join(sorted(sides))}")
    return found


def ports(every):
    """Each XLR: data lines clamped, common by capacitor to GND, the end resistor there, bias on an out; the driver off
    until the firmware runs."""
    found = []
    for xlr in (component for component in every if component.part in ("xlr_out", "xlr_in")):
        letter = xlr.unit[-1]
        ground, plus, minus = (f"{letter} {net}" for net in ("GND", "data +", "data -"))
        for line in (plus, minus):
            if not across(every, "tvs", line, ground):
                found.append(f"{xlr.ref}: {line} leaves the case without a surge clamp")
        if not across(every, "cy", ground, "GND"):
            found.append(f"{xlr.ref}: {ground} leaves the case without a capacitor to GND: static has no way out")
        far = minus if xlr.part == "xlr_out" else f"{letter} end"
        if not across(every, "r120", plus, far):
            found.append(f"{xlr.ref}: no 120 ohm at this end of the line")
        biased = across(every, "r357", plus, f"{letter} 3V3") and across(every, "r357", minus, ground)
        if biased != (xlr.part == "xlr_out"):
            found.append(f"{xlr.ref}: the bias belongs on an out, and only there")
    if port.rest(worst=True) < port.REST_V:
        found.append(f"bias: {port.rest(worst=True):.3f} V at rest, under {port.REST_V} V")
    for chip in (component for component in every if component.part == "transceiver"):
        if not across(every, "r10k", chip.pins["5 DE"], "GND"):
            found.append(f"{chip.ref}: nothing holds the driver off while the controller starts")
    return found


def foot(every):
    """The jack's tip meets the chip's pin behind a resistor, with a capacitor and a diode to each rail."""
    found = []
    for jack in (component for component in every if component.part == "foot"):
        tip = jack.pins["1 tip"]
        if any(component.unit == "controller" for component in on(every, tip)):
            found.append(f"{jack.ref}: {tip} leaves the case straight from the controller")
            continue
        series = [component for component in on(every, tip) if component.part == "r2k2"]
        for pin in {net for component in series for net in component.pins.values()} - {tip}:
            if not (across(every, "diode", pin, "3V3") and across(every, "diode", pin, "GND")
                    and across(every, "c100n", pin, "GND")):
                found.append(f"{jack.ref}: {pin} has no clamp to both rails")
        if not series:
            found.append(f"{jack.ref}: {tip} leaves the case without a resistor")
    return found


def sounder(every):
    """What a coil of no ohms in the sounder's place would take stays under what a pin gives."""
    found = []
    for part in (component for component in every if component.part == "sounder"):
        beside = on(every, part.pins["1"])
        limits = [component for component in beside if component.part in port.OHMS]
        straight = any(component.unit == "controller" for component in beside)
        if straight or not limits or 1000 * 3.3 / port.OHMS[limits[0].part] > PIN_MA:
            found.append(f"{part.ref}: no resistor that keeps the pin under {PIN_MA:.0f} mA")
    return found


def decoupled(every):
    """Each supply of a chip has its ceramic capacitor, each rail one of 4.7 uF; the 5 V rail hangs behind the fuse."""
    rails = {net for component in every for net in component.pins.values() if net.split()[-1] in ("5V", "3V3")}
    found = [f"net {rail}: no 4.7 uF to its ground" for rail in sorted(rails)
             if not across(every, "c4u7", rail, (circuit.domain(rail) + " GND").strip())]
    if not across(every, "fuse", "VBUS", "5V"):
        found.append("5V: not behind the fuse")
    found += [f"{component.ref}: on VBUS, before the fuse" for component in on(every, "VBUS")
              if component.part not in ("fuse", "r100k") and component.unit != "controller"]
    return found


def budget(board):
    """[(supply, mA drawn with every port driving, mA that it gives)]."""
    every = circuit.components(board)
    draws = {"VBUS": 0.0, "3V3": 0.0}
    for component in every:
        for rail, milliamps in parts.PARTS[component.part].draws.items():
            draws[rail] += milliamps
    feeds = sum(component.part == "converter" for component in every)
    five = draws["3V3"] + feeds * port.feed_ma()
    return [("3.3 V rail, regulator U1", draws["3V3"], REGULATOR_MA),
            ("5 V rail, fuse F1 at 40 degrees C", five, FUSE_MA),
            ("isolated side, converter PS11", port.line_ma(), port.CONVERTER_MA),
            ("isolated side, regulator U12", port.line_ma(), REGULATOR_MA),
            ("USB, 5 V", five + draws["VBUS"], USB_MA)]
