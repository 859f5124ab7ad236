"""python -m tests.soak SEED LIFE [GESTURES]: walk one life of a soak again, and print what goes wrong in it."""

import sys

import sim  # noqa: F401
from tests import loaded
from tests.soak.walk import LIFE, Soak
from tests.ui import walker


def main(seed, life, gestures=LIFE):
    """Walk it."""
    soaked = Soak(int(seed))
    soaked.life = int(life) - 1
    with loaded.as_after_boot() as soaked.known, walker.quick():
        soaked.live(int(gestures))
    print(*soaked.wrong or ["nothing goes wrong"], sep="\n")


if __name__ == "__main__":
    main(*sys.argv[1:])
