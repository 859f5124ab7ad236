"""Effects as light: one module a kind, listed by its name in table.py. A new kind is its module and its line there.

The module of a kind has:
    ACTS, MAY   what the effect acts on at first, and what it may act on: words of "level", "white" and "colour".
    ADDS        True where it adds light to the look that is on, False where it takes from it.
    EACH        True where each lamp runs by itself; False where one run is for all, like a lightning stroke.
    PARAMS      the parameters, a line each: label, unit, lowest, highest, at first, step. A unit with a stroke, as in
                "sun/sky", is the words for 0 and 1; "ms" is shown in seconds. It is text because tuples would take four
                times the memory.
    run         a generator of 0..65536, one value every SLOT_MS, from dice (dice.py) and the parameters.
and where it needs them:
    level       what light a value of run stands for, 0..65536; without it the value itself.
    kelvin      the white that a value stands for with the parameters, in K; without it brighter is cooler.

The same seed and parameters always give the same run, so that shows keep their light. A run uses small ints only and
does not allocate once it has begun. What is known of the real thing stands with each kind; what is not named there is
by eye, and so are the figures at first: what the trade would call ordinary (common practice, no source).
"""
