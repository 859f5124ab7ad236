"""Where a feed can come from. Used by the app.

A source has received() -> the newest packet not handed up before or None, counts, and every (hal/contract.Line says
what they mean). The stage's feed asks one source; it does not know what it is.
"""


def of_board(app):
    """The source of the app's board: its second DMX512 port, where that can listen; None without one; on a board with
    Wi-Fi what network_choice.py says."""
    board = app.board
    if hasattr(board, "radio"):
        from firmware.network_choice import source

        return source(app)
    return board.lines[1] if len(board.lines) > 1 and board.lines[1].has_input else None
