"""What is happening now: dialled light, fades, master -> one frame."""
