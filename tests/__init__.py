"""Unit, property, virtual-machine, wire, panel and browser tests."""
