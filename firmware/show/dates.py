"""Dates without a clock: whole days, as the user or the host set them. Used by the Meter and Slate pages and the host.
"""

_MONTHS = "JanFebMarAprMayJunJulAugSepOctNovDec"
_LENGTHS = b"\x1f\x1c\x1f\x1e\x1f\x1e\x1f\x1f\x1e\x1f\x1e\x1f"


def day_text(days):
    """A date in words, from days since 31 December 1999; "no date" for 0. Source: proleptic Gregorian calendar."""
    if not days:
        return "no date"
    year, left = 2000, days - 1
    while left >= 365 + _leap(year):
        left -= 365 + _leap(year)
        year += 1
    month = 0
    while left >= _length(year, month):
        left -= _length(year, month)
        month += 1
    return "%d %s %d" % (left + 1, _MONTHS[3 * month:3 * month + 3], year)


def _leap(year):
    return 1 if year % 4 == 0 and (year % 100 or year % 400 == 0) else 0


def _length(year, month):
    return _LENGTHS[month] + (_leap(year) if month == 1 else 0)
