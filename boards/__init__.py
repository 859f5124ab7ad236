"""One short file a board: pins and parts."""
