"""Runs conversations of firmware/wire against lamps on a simulated cable, without a line or a clock."""


def run(talk, conversation, cable):
    """Hold a conversation to its end -> what it returns."""
    heard = None
    while True:
        try:
            asked = conversation.send(heard)
        except StopIteration as end:
            return end.value
        heard = None if isinstance(asked, int) else cable.ask(asked, talk.window_us(asked))[1]
