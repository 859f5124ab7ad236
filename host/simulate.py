"""halfstop sim: the simulator, a page in the browser; python -m sim in a checkout."""

import sim.__main__

VERB = "sim"
HELP = "open the simulator: the firmware, worked in a browser"
options = sim.__main__.options
main = sim.__main__.main
