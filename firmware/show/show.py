"""One show: a folder with the rig and the looks. Opened by shelf.py for the app, read and changed by the stage and the
pages."""

from firmware.parts import once
from firmware.show import file_store, file_write
from firmware.show.looks import Looks
from firmware.show.rig import Rig

SHOWS = "shows"  # the folder of all shows
NONE = "none"  # the ident of a show that is nowhere, and cannot be changed


class Show:
    """A show in `folder` of `disk`; it is empty where there is none. `name`: what the user calls it; `read_only`: a
    newer version wrote it, or a larger device, and nothing of it may be changed; `faults`: what could not be read, in
    words."""

    def __init__(self, disk, folder, faults=None, most=None):
        """most: lamps that the device has memory for; None: as many as a rig may have."""
        self.disk = disk
        self.folder = folder
        self.name = folder.rpartition("/")[2]
        self.read_only = False
        self.faults = [] if faults is None else faults
        self.rig = Rig()
        self.rig.most = most or self.rig.most
        self.looks = Looks(disk, folder, self.faults)

    def load(self):
        """Read the rig and the looks. What is damaged is left out and named in `faults`."""
        self.load_rig()
        self.looks.load()

    def load_rig(self):
        """Read the rig, which is all that the first frame needs."""
        data, fault = file_store.load(self.disk, self._rig_path())
        if fault:
            self.faults.append(fault)
        if data is not None:
            if len(data["fixtures"]) > self.rig.most:
                from firmware.show.disk_read_only import only_look  # few devices ever need it

                only_look(self, len(data["fixtures"]))
            self.faults += once("firmware.show.rig_file", "unpack", self.rig, data)

    def save_rig(self):
        """Save the rig. Errors: OSError(ENOSPC): nothing has changed on the disk."""
        file_write.make_folder(self.disk, self.folder)
        file_store.save(self.disk, self._rig_path(), once("firmware.show.rig_file", "pack", self.rig))

    def _rig_path(self):
        return self.folder + "/rig.json"
