"""The carrier board to order: placed by layout.py, made by KiCad, compared with boards/circuit.py."""
