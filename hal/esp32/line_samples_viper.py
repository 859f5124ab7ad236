"""The machine-code twin of hal/esp32/line_samples.py: the same function in viper. The numbers are its constants."""

# ruff: noqa: F821  ptr8 and ptr32 are the viper compiler's

import micropython


@micropython.viper
def scan(words, end: int, to, state) -> int:  # noqa: C901  a call costs more than it saves here
    source = ptr8(words)
    target = ptr8(to)
    room = int(len(to))
    s = ptr32(state)
    at = s[0]
    mode = s[1]
    count = s[2]
    bits = s[3]
    span = s[6]
    event = 0
    while at < end and event == 0:
        byte = source[((at >> 5) << 2) | (3 - ((at >> 3) & 3))]
        high = (byte >> (7 - (at & 7))) & 1
        at += 1
        if span < 16777216:
            span += 1
        if count < 16777216:
            count += 1
        if mode == 0:
            if high == 0:
                mode = 1
                count = 0
                bits = 0
        elif mode == 1:
            if count == 4 and high == 1:
                mode = 0
            elif count > 4 and count & 7 == 4:
                bits |= high << (((count - 4) >> 3) - 1)
                if count == 84:
                    if high == 0:
                        s[4] = count
                        s[7] = span - count
                        mode = 2
                        span = count
                        count = 0
                    else:
                        mode = 0
                        n = s[8]
                        if bits >> 8 != 3:
                            event = 1
                        elif n == room:
                            event = 3
                        elif n < room:
                            target[n] = bits
                            s[8] = n + 1
        elif mode == 2:
            if high == 1:
                s[4] = s[4] + count
                mode = 3
                count = 0
        elif high == 0:
            s[5] = count
            mode = 1
            count = 0
            event = 2
    s[0] = at
    s[1] = mode
    s[2] = count
    s[3] = bits
    s[6] = span
    return event
