"""Where a feed can come from. Used by the app.

A source has received() -> the newest packet not handed up before or None, counts, and every (hal/contract.Line says
what they mean). The stage's feed asks one source; it does not know what it is.
"""


def of_board(board):
    """The source of a board: its second DMX512 port, where that can listen; None without one."""
    return board.lines[1] if len(board.lines) > 1 and board.lines[1].has_input else None
