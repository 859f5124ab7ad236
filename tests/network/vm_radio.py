"""The radio of scripts that run on the VM (hal/contract.Radio): vm_feed.py imports it, tests/bench/sacn.py has it as
text. Always joined; hands over what the script puts into `data`, and counts in `sent` what it is to send."""


class Radio:
    """board: gets this in `made`."""

    data = None
    sent = 0

    def __init__(self, board):
        board.made = self

    def join(self, name, password):
        pass

    def word(self):
        return "joined"

    def address(self):
        return "192.0.2.7"

    def signal(self):
        return -58

    def listen(self, port, groups):
        pass

    def receive(self, buffer):
        if self.data is None:
            return 0
        buffer[:638], self.data = self.data, None
        return 638

    def send(self, data, address, port):
        self.sent += 1

    def ident(self):
        return b"abcdef"

    def close(self):
        pass
