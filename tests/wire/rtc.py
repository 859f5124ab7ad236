"""A stand-in for the ESP32's machine.RTC: its memory lasts as long as the class."""


def rtc():
    """-> a class with a memory of its own."""
    kept = [b""]

    class Rtc:
        def memory(self, data=None):
            if data is None:
                return kept[0]
            kept[0] = bytes(data)
            return None

    return Rtc
