"""What is kept: the safe file layer, shows, the stage's state, power cuts."""
