"""What the lamps draw: watts, amperes, hours from a battery. Sums over the rig. Used by the Load page and the host.

These are planning aids: local codes and a licensed electrician decide. A fixture's trims hold "watts" (of one lamp at
full) and "gang" (how many lamps share its address). The watts at a level are taken as its share of the full watts, as
LED lamps draw about; a dimmed tungsten lamp draws more.
"""

SHARE = 0.8  # of a circuit for loads that last three hours and more (NFPA 70, 210.19 and 210.20: 125 % of the load)


def lamp_count(fixture):
    """How many lamps have a fixture's address."""
    return fixture.trims.get("gang", 1)


def full_watts(fixture):
    """Watts at full of all lamps at a fixture's address; None where they are not known."""
    watts = fixture.trims.get("watts")
    return None if watts is None else watts * lamp_count(fixture)


def totals(fixtures, shares):
    """Sums over fixtures: (watts now, watts at full, how many fixtures have no watts entered).

    shares: the level of each, 0..1, with the master."""
    known = [(full_watts(f), share) for f, share in zip(fixtures, shares) if full_watts(f) is not None]
    return sum([w * share for w, share in known]), sum([w for w, _share in known]), len(fixtures) - len(known)


def amps(watts, volts):
    """Current of a load in A. volts: of the mains. Without power factor: a lamp that has a poor one draws more."""
    return watts / volts


def over(watts, volts, circuit):
    """True where a load is over the SHARE of one circuit (A) that may be used for long."""
    return amps(watts, volts) > SHARE * circuit


def hours(watt_hours, watts):
    """Hours that a battery lasts; None where nothing is drawn."""
    return watt_hours / watts if watts > 0 else None
