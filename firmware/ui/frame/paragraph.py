"""Writes a text of several lines. Used by the pages that have one."""


def paragraph(c, words, y, font, ink, lines=2):
    """Write a text in at most so many lines from y down -> how many it takes. What has no room in the last ends in an
    ellipsis. ink: -1 only counts the lines. A generator."""
    room = c.width - 2 * c.pad
    line, count = "", 1
    if c.measure(words, font) <= room:
        line, words = words, ""
    for word in words.split():
        yield
        longer = line + " " + word if line else word
        if line and count < lines and c.measure(longer, font) > room:
            if ink >= 0:
                c.text(line, c.pad, y, font, ink, width=room)
                yield
            y += c.line_height(font)
            count += 1
            longer = word
        line = longer
    if ink >= 0:
        c.text(line, c.pad, y, font, ink, width=room)
    return count
