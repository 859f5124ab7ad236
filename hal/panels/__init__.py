"""Drivers for panels, handed their bus and pins."""
