"""The list of pages."""

from firmware.ui.page import Choice

_PAGES = (("Light", "light"), ("Looks", "looks"), ("Rig", "rig"))


class Page(Choice):
    """Turn to a page, push to open it. The last rows act at once."""

    title = "Halfstop"

    def rows(self):
        stage = self.app.stage
        rows = [(name, "") for name, _module in _PAGES]
        rows.append(("Blackout", "on" if stage.blackout else "off"))
        rows.append(("All full", "on" if stage.full else "off"))
        rows.append(("Fades", "held" if stage.paused else "running" if stage.left() else "none"))
        return rows

    def choose(self, at):
        stage = self.app.stage
        if at < len(_PAGES):
            self.app.open(_PAGES[at][1])
        elif at == len(_PAGES):
            stage.blackout = not stage.blackout
        elif at == len(_PAGES) + 1:
            stage.full = not stage.full
        else:
            stage.pause(not stage.paused)

    def back(self):
        self.app.open("light")

    def hint(self):
        return "turn: choose   push: open   back: Light"
