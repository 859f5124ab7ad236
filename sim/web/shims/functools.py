"""functools.cache, for arguments that can be keys."""


def cache(function):
    """As CPython's, without its counters."""
    kept = {}

    def cached(*args):
        if args not in kept:
            kept[args] = function(*args)
        return kept[args]

    return cached
