"""What the page tests share: find a row by its words, see what the panel's light is."""


def rows(b):
    """The left texts of the open list."""
    return [b.app.page.row(item)[0] for item in b.app.page.items]


def right(b, text):
    """The right text of the row with that left text."""
    page = b.app.page
    return page.row(page.items[rows(b).index(text)])[1]


def to(b, text):
    """Turn to the row of that text."""
    b.turn(rows(b).index(text) - b.app.page.at)
    assert rows(b)[b.app.page.at] == text


def pick(b, *texts):
    """Turn to a row and push, once for each text."""
    for text in texts:
        to(b, text)
        b.press()


def lamp(b, name):
    """On the Light page: push and turn to a row."""
    names = [getattr(item, "name", item) for item in b.app.page.items]
    b.push_turn(names.index(name) - b.app.page.at)


def module(b):
    """The open page's module, without its package."""
    return type(b.app.page).__module__.rpartition(".")[2]


def told(b, seconds=9):
    """All that the foot of the page says in that time: a long message comes piece by piece."""
    out = []
    for _ in range(int(seconds * 5)):
        b.run(0.2)
        out += [line for line in b.lines if line not in out]
    return " ".join(out)


def ended(generator):
    """Run a generator to its end -> what it returns."""
    while True:
        try:
            next(generator)
        except StopIteration as end:
            return end.value
