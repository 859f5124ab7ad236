"""A day on set: running order, effects, meter, slate, load and supply."""
