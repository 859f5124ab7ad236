"""Runs on the VMs: a scripted scene on the bare board of sim/vm.py. Arguments: FOLDER SCRIPT."""

import sys

sys.path.insert(0, ".")
import sim.vm  # noqa: E402

device = sim.vm.main(sys.argv[1], sys.argv[2])  # kept, so that the heap can be weighed after the script
