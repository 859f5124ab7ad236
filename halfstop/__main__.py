"""python -m halfstop: as the command `halfstop`."""

import sys

from halfstop import main

sys.exit(main())
