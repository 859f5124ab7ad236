"""The shows on one device: which there are, which is open, new ones, copies, deleted ones.

Called by the app at boot and by the pages of shows; what only the pages do is in shelf_edit.py, loaded for each call.

    shelf.json           {"open": folder of the open show, "dark": true to start dark}
    shows/IDENT/         show.json {"name"}, rig.json, looks/N.log
    trash/IDENT/         deleted shows: until the next power-up they can come back
    state/, faults.log   the stage's state and the faults (stage/state_write.py, show/fault_log.py)
    restore/             what the host is sending, until it is whole

IDENT is made from the first name of a show and stays. A folder whose name ends in '+' is not finished: a power cut left
it, and it goes to the trash. One that ends in '=' is whole, and takes the place of the show it is named after. After a
power cut, what a function here does is there whole or not at all.
"""

from firmware.parts import once
from firmware.show import file_disk, file_format, file_store
from firmware.show.show import NONE, SHOWS, Show

_SETTINGS = "shelf.json"


class Shelf:
    """The shows of a device. `faults`: what was found wrong since power-up, in words; `settings`: the content of
    shelf.json; `opened`: ident of the open show."""

    def __init__(self, disk, most=None):
        """most: as Show takes it."""
        self.disk = disk
        self._most = most
        self.faults = []
        self.opened = ""  # ident of the open show
        self.unlisted = False  # a folder could not be listed
        self.deleted = []  # [(folder in the trash, ident it had)], the last deleted at the end
        self._make_folders()
        self.faults += file_store.recover(disk, "")
        self.settings = {"open": "", "dark": False}
        self.settings.update(self._with_fault(file_store.load(disk, _SETTINGS)) or ())
        for name in self._names(SHOWS):
            if name[-2:] in ("+/", "=/"):
                self._end_half(name[:-1])

    def idents(self):
        """The idents of the shows, sorted. Where flash does not give them, that of the show that was open last."""
        idents = sorted([name[:-1] for name in self._names(SHOWS) if name[-1] == "/" and name[-2] not in "+="])
        if not idents and self.unlisted and self.settings["open"]:
            idents = [self.settings["open"]]
        return idents

    def name(self, ident):
        """What the user calls a show; its ident where that cannot be read."""
        about = self._with_fault(file_store.load(self.disk, SHOWS + "/" + ident + "/show.json"))
        return about.get("name", ident) if about else ident

    def open(self, ident=None):
        """Open a show -> Show, with its rig and without its looks (`show.looks.load()`, when there is time). ident
        None: the show that was open last, or a new empty one where there is none. Errors: ValueError: no such show."""
        idents = self.idents()
        named = ident is not None
        if not named:
            ident = self.settings["open"]
            if ident not in idents:
                ident = idents[0] if idents else NONE
                if not (idents or self.unlisted):
                    ident = once("firmware.show.shelf_edit", "first", self)
        elif ident not in idents:
            raise ValueError("No show called %s" % ident)
        show = self._show(ident)
        self.opened = ident
        if ident not in (self.settings["open"], NONE):
            try:
                self.set("open", ident)
            except OSError as error:  # it is open now, and perhaps not after the next power-up
                if named:
                    self.faults.append(str(error.args[-1]))
        return show

    def tidy(self):
        """Delete one file of what was deleted before this power-up -> False where nothing is left to delete."""
        recent = [folder for folder, _ident in self.deleted]
        for name in file_disk.names(self.disk, file_disk.TRASH):
            if name.rstrip("/") not in recent:
                return once("firmware.show.file_room", "shrink", self.disk, file_disk.TRASH + "/" + name)
        return False

    def set(self, key, value):
        """Save a setting of shelf.json. Errors: OSError(ENOSPC): it is not saved."""
        settings = dict(self.settings)
        settings[key] = value
        file_store.save(self.disk, _SETTINGS, settings)
        self.settings = settings

    def _make_folders(self):
        """Make the folders. That must come before anything is read: a littlefs that lost power in a rename from folder
        to folder hides an entry that has nothing to do with it, until the first call that could write."""
        try:
            for folder in (SHOWS, file_disk.TRASH):
                self.disk.mkdir(folder)
        except OSError as error:
            words = "The disk is full to the brim. Delete looks, captures or a show"
            if error.errno != file_disk.ENOSPC:
                words = "The flash cannot be written (error %d): nothing can be saved" % error.errno
            self.faults.append(words)

    def _names(self, folder):
        """The names in a folder, [] where flash does not give them."""
        try:
            return file_disk.names(self.disk, folder)
        except OSError as error:
            self.unlisted = True
            if error.args[-1] not in self.faults:
                self.faults.append(error.args[-1])
            return []

    def _end_half(self, ident):
        """Finish or discard a show whose folder was left half done."""
        try:
            once("firmware.show.shelf_edit", "discard" if ident[-1] == "+" else "finish", self, ident)
        except OSError as error:
            self.faults.append("%s is half done and cannot be moved (error %d)" % (ident, error.errno))

    def _show(self, ident):
        folder = SHOWS + "/" + ident
        disk = self.disk
        about, why = file_store.read(disk, folder + "/show.json")
        if ident not in self.idents():
            disk = self._read_only()
        elif about and file_format.newer(about):
            disk = self._read_only()
            self.faults.append("%s is of a newer version: it can be looked at, not changed" % about.get("name", ident))
        else:
            for name in [""] + self._names(folder):
                if not name or name[-1] == "/":
                    self.faults += file_store.recover(disk, (folder + "/" + name).rstrip("/"))
            about = self._with_fault(file_store.load(disk, folder + "/show.json"))
        show = Show(disk, folder, self.faults, self._most)
        show.name = about.get("name", ident) if about else ident
        show.read_only = disk is not self.disk
        show.load_rig()
        return show

    def _read_only(self):
        from firmware.show.disk_read_only import ReadOnly  # few devices ever need it

        return ReadOnly(self.disk)

    def _with_fault(self, loaded):
        """The object of what file_store.load returned; its fault goes to `faults`."""
        obj, fault = loaded
        if fault and fault not in self.faults:
            self.faults.append(fault)
        return obj
