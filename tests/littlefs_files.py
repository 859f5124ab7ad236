"""What lies on a littlefs, read by littlefs-python. For the boards that are none: tests/chip, host/vm_board.py."""


def files(fs):
    """{path: bytes} of all files. fs: a mounted littlefs.LittleFS."""
    found = {}
    for folder, _, names in fs.walk("/"):
        for name in names:
            path = (folder.rstrip("/") + "/" + name).lstrip("/")
            with fs.open(path, "rb") as file:
                found[path] = file.read()
    return found
