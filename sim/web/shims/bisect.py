"""bisect.bisect_right of CPython."""


def bisect_right(items, wanted):
    """Where `wanted` would stand in sorted items, behind equal ones."""
    low, high = 0, len(items)
    while low < high:
        middle = (low + high) // 2
        if wanted < items[middle]:
            high = middle
        else:
            low = middle + 1
    return low
