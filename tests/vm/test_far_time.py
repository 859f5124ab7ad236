"""The tick allocates nothing, however long the device has been on: its times stay below 2**29 but for a step that comes
late (firmware/app_time.py), and an int is on the heap from 2**30 on (MicroPython: small ints of a 32-bit VM have 31
bits)."""

from tests.vm import runner

FOLDER = runner.ROOT / "tests/vm"


def test_on_the_unix_vm_with_its_heap_locked():
    said = runner.run("tests/vm/far_time.py", FOLDER, "lock", heap="1m").splitlines()
    assert said == ["20 0", "28 0", "29 0", "20 0", "29 0"]


def test_on_the_32_bit_vm():
    """Its plain loops take a range object or so each time: they take as many bytes at every time, and more at 2**30."""
    said = runner.run_wasm("tests/vm/far_time.py", FOLDER, "count").splitlines()
    took = [int(line.split()[1]) for line in said[:6]]
    assert took[1] == took[0] and took[2] == took[0]
    assert took[4] == took[3]  # the loop stood still for three days
    assert took[5] > took[0] + 1000
