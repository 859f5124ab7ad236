"""The mathematics of light: pure functions, no state."""
