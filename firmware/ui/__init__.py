"""Pages, canvas, fonts: draws the stage, turns gestures into calls on it."""
