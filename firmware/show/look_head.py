"""Numbers of the log of looks (look_record.py) that are needed to write it and to find looks in it."""

VERSION = 1
PART_HEAD = 8  # bytes
# Five flash blocks, less the pointers with which littlefs chains them (its SPEC.md, "CTZ skip-lists", from memory).
PART_BYTES = 20452
PARTS = 12  # at most: places are 16 bits wide
LOOK, ORDER = 1, 2  # kinds of record
AT_END = 65535
# The fields of a head.
H_MARK, H_KIND, H_NAME, H_NAME_CHECK, H_NUMBER, H_PLACE, H_LENGTH, H_FADE, H_CRC, H_CHECK = range(10)
