"""The loop of rdm_in that must be quick: the packet that has just come in. This is the plain twin of
rdm_in_words_viper."""


def packet(ring, place, depth, to):
    """Well-formed slots that lie in a ring just before item `place`: how many, 0 where `to` does not hold all; their
    values go to `to`. depth: items of the ring, two bytes each, as the program dmx_in pushes them."""
    count = 0
    while count <= len(to) and ring[2 * ((place or depth) - 1) + 1] == 255:
        place = (place or depth) - 1
        count += 1
    if count > len(to):
        return 0
    for n in range(count):
        to[n] = ring[2 * place]
        place = (place + 1) % depth
    return count
