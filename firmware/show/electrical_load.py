"""What the lamps draw: watts, amps, hours from a battery. Pure sums over the rig. Used by the Load page and the host.

Planning aids: local codes and a licensed electrician decide. A fixture's trims hold "watts" (of one lamp at full) and
"gang" (how many lamps share its address). Watts at a level are taken as its share of the full watts, as LED lamps draw
about; a dimmed tungsten lamp draws more.
"""

SHARE = 0.8  # of a circuit for loads that last three hours and more (NFPA 70, 210.19 and 210.20: 125 % of the load)


def count(fixture):
    """Lamps at a fixture's address."""
    return fixture.trims.get("gang", 1)


def full(fixture):
    """Watts of all lamps at its address at full; None where they are not known."""
    watts = fixture.trims.get("watts")
    return None if watts is None else watts * count(fixture)


def totals(fixtures, shares):
    """(watts now, watts at full, fixtures whose watts are not known). shares: level 0..1 of each, master included."""
    known = [(full(f), share) for f, share in zip(fixtures, shares) if full(f) is not None]
    return sum([w * share for w, share in known]), sum([w for w, _share in known]), len(fixtures) - len(known)


def amps(watts, volts):
    """Current of a load in A. volts: of the mains. Without power factor: a lamp that has a poor one draws more."""
    return watts / volts


def over(watts, volts, circuit):
    """True where a load is over the share of one circuit (A) that may be used without a break."""
    return amps(watts, volts) > SHARE * circuit


def hours(watt_hours, watts):
    """Hours that a battery lasts; None where nothing is drawn."""
    return watt_hours / watts if watts > 0 else None
