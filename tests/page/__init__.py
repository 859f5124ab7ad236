"""The simulator: its light, its server and its page in a browser."""
