"""The shows on one device: which there are, which is open, new ones, copies, deleted ones.

Called by the app at boot and by the kit page; what the latter does lies in shelves.py, loaded when called for.

    shelf.json           {"open": folder of the open show, "dark": true to start dark}
    shows/IDENT/         show.json {"name"}, rig.json, order.json, looks/N.json
    trash/IDENT/         deleted shows: until the next power-up they can come back
    state/, faults.log   the stage's state and the faults (stage/kept.py, show/faults.py)

    restore/             what the host is bringing, until it is whole

IDENT is made from the name a show had at first and stays. A folder whose name ends in '+' is not finished: a
cut left it, and it goes to the trash. One that ends in '=' is whole and takes the place of the show it is named
after. What a verb here does is seen whole after a power cut, or not at all.
"""

from firmware.drop import late
from firmware.show import keep
from firmware.show.show import Show

SHOWS = "shows"
_SETTINGS = "shelf.json"
_VERBS = ("new", "copy", "rename", "remove", "can_put_back", "put_back", "free")


class Shelf:
    """`faults`: what was found wrong since power-up, in words. `settings`: the content of shelf.json.

    Its other verbs (_VERBS) are the functions of shelves.py, with the shelf as their first argument.
    """

    def __init__(self, disk):
        self.disk = disk
        self.faults = []
        self.opened = ""  # ident of the open show
        self.gone = []  # (folder in the trash, ident it had), the last deleted at the end
        self._settle()
        self.faults += keep.recover(disk, "")
        self.settings = self._note(keep.load(disk, _SETTINGS)) or {"open": "", "dark": False}
        for name in disk.list(SHOWS):
            if name.endswith("+/"):
                self._verb("discard", name[:-1])
            elif name.endswith("=/"):
                self._verb("finish", name[:-1])

    def idents(self):
        """The shows' idents, sorted."""
        return sorted([name[:-1] for name in self.disk.list(SHOWS) if name[-1] == "/" and name[-2] not in "+="])

    def name(self, ident):
        """What the user calls a show; its ident where that cannot be read."""
        about = self._note(keep.load(self.disk, SHOWS + "/" + ident + "/show.json"))
        return about["name"] if about else ident

    def open(self, ident=None):
        """Show, with its rig and without its looks (`show.looks.load()`, when there is time). None: the one
        that was open last; an empty one where there is none. Errors: ValueError: no such show."""
        there = self.idents()
        asked = ident is not None
        if not asked:
            ident = self.settings["open"]
            if ident not in there:
                ident = there[0] if there else self._verb("first")
        elif ident not in there:
            raise ValueError("No show called %s" % ident)
        show = self._show(ident)
        self.opened = ident
        if ident != self.settings["open"]:
            try:
                self.set("open", ident)
            except OSError as error:  # it is open all the same, and perhaps not the next time
                if asked:
                    self.faults.append(str(error.args[-1]))
        return show

    def tidy(self):
        """Do one small step of clearing what was deleted before this power-up. False: there is no more."""
        kept = [folder for folder, _ident in self.gone]
        for name in self.disk.list(keep.TRASH):
            if name.rstrip("/") not in kept:
                return self._verb("clear", keep.TRASH + "/" + name)
        return False

    def set(self, key, value):
        """Keep a setting. Errors: OSError(ENOSPC): not kept."""
        settings = dict(self.settings)
        settings[key] = value
        keep.save(self.disk, _SETTINGS, settings)
        self.settings = settings

    def _settle(self):
        """Make the folders. That must come before anything is read: a littlefs that lost power in a rename from
        folder to folder hides an entry that has nothing to do with it, until the first call that could write."""
        try:
            for folder in (SHOWS, keep.TRASH):
                self.disk.mkdir(folder)
        except OSError as error:
            if error.errno != keep.ENOSPC:
                raise
            self.faults.append("The disk is full to the brim. Delete looks, captures or a show")

    def _show(self, ident):
        folder = SHOWS + "/" + ident
        disk = self.disk
        about, why = keep.read(disk, folder + "/show.json")
        if ident not in self.idents():
            disk = self._verb("read_only")
        elif about and keep.newer(about):
            disk = self._verb("read_only")
            self.faults.append("%s is of a newer version: it can be looked at, not changed" % about["name"])
        else:
            for name in [""] + disk.list(folder):
                if not name or name[-1] == "/":
                    self.faults += keep.recover(disk, (folder + "/" + name).rstrip("/"))
            about = self._note(keep.load(disk, folder + "/show.json"))
        show = Show(disk, folder, self.faults)
        show.name = about["name"] if about else ident
        show.read_only = disk is not self.disk
        show.load_rig()
        return show

    def __getattr__(self, name):
        """A verb."""
        if name in _VERBS:
            return late("firmware.show.shelves", name, self, False)
        raise AttributeError(name)

    def _verb(self, verb, *args):
        return late("firmware.show.shelves", verb, self, False)(*args)

    def _note(self, loaded):
        obj, fault = loaded
        if fault and fault not in self.faults:
            self.faults.append(fault)
        return obj
