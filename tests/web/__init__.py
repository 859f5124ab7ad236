"""The simulator without a server, in Chromium."""
