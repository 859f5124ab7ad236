"""What a device that answers RDM needs once: its UID, and the name that a desk gave it. Loaded by feed_rdm.py for that.
"""

from firmware.parts import once
from firmware.show import file_store
from firmware.wire.rdm import encode

PATH = "rdm.json"  # {"label": the name that a desk gave the device}
_UIDS = b"\x7f\xf0\x5a"  # how the UID begins: of the range that is kept for prototypes (ANSI E1.20, from memory)


def begin(app, port, make):
    """Let a port answer -> (UID, Responder). port: as hal/contract.Answers; make: the class Responder, whose code
    stays.
    """
    saved, fault = file_store.load(app.board.disk, PATH)
    if fault:
        app.shelf.faults.append(fault)
    label = bytes([ord(c) for c in (saved or {}).get("label", "") if " " <= c <= "~"])
    uid = _UIDS + once(port.setup, "ident")
    responder = make(uid, app.version, label)
    once(port.setup, "begin", port, responder, encode(int.from_bytes(uid, "big")))
    return uid, responder


def save(disk, responder):
    """Save the name that a desk has given. Errors: OSError(ENOSPC)."""
    file_store.save(disk, PATH, {"label": bytes(responder.label[: responder.label_length]).decode()})
