"""The figures: python -m tests.bench NAME."""
