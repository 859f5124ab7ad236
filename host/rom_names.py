"""Names that every MicroPython has in ROM: its own, and those of modules that all its ports have. Used by shorten.py.

tests/host/test_shorten.py asks two virtual machines whether they cost nothing.
"""

# ruff: noqa: SIM905  (a table of words)

ROM = """
ARRAY AUTO ArithmeticError AssertionError AttributeError BFINT16 BFINT32 BFINT8 BFUINT16 BFUINT32 BFUINT8 BF_LEN
BF_POS BIG_ENDIAN BaseException BytesIO CancelledError DeflateIO EACCES EADDRINUSE EAGAIN EALREADY EBADF ECONNABORTED
ECONNREFUSED ECONNRESET EEXIST EHOSTUNREACH EINPROGRESS EINVAL EIO EISDIR ENOBUFS ENODEV ENOENT ENOMEM ENOTCONN
EOFError EOPNOTSUPP EPERM ETIMEDOUT Ellipsis Event Exception FLOAT32 FLOAT64 FileIO FrameBuffer FrameBuffer1 GS2_HMSB
GS4_HMSB GS8 GZIP GeneratorExit INT INT16 INT32 INT64 INT8 IOBase ImportError IndentationError IndexError KeyError
KeyboardInterrupt LITTLE_ENDIAN LONG LONGLONG Lock LookupError MONO_HLSB MONO_HMSB MONO_VLSB MVLSB MemoryError NATIVE
NameError NoneType NotImplemented NotImplementedError OSError OrderedDict OverflowError POLLERR POLLHUP POLLIN
POLLOUT PTR RAW RGB565 RingIO RuntimeError SHORT StopAsyncIteration StopIteration StringIO SyntaxError SystemExit
Task TaskQueue TextIOWrapper ThreadSafeFlag TimeoutError TypeError UINT UINT16 UINT32 UINT64 UINT8 ULONG ULONGLONG
USHORT UnicodeError VOID ValueError ZLIB ZeroDivisionError a2b_base64 abs acos acosh acquire action add addressof all
any append appendleft args argv array ascii asin asinh atan atan2 atanh atexit attr aw b2a_base64 bin blit bool buf
buffer buffering builtins bytearray bytearray_at byteorder bytes bytes_at calcsize callable cancel ceil center chdir
choice chr classmethod clear close closure cmath code collect collections compile complex const context copy copysign
coro cos cosh count crc32 create_task current_task data decode default deflate degrees delattr deleter deque dest
dict difference difference_update digest dir disable discard divmod doc done dump dumps ellipse enable encode
encoding end endswith enumerate erf erfc errno errorcode eval event exc exc_info exc_type exception exec execfile
exit exp expm1 extend fabs factorial file fileno fill fill_rect filter find flags float floor flush fmod format
framebuf frexp from_bytes fromhex fromkeys frozenset function future gamma gather gc get get_event_loop getattr
getcwd getenv getrandbits getter getvalue globals gmtime group handler hasattr hash hashlib heap_lock heap_unlock
heapify heappop heappush heapq help hex hexlify hline id ilistdir imag implementation index indices inf input insert
int intersection intersection_update io ioctl ipoll is_set isalpha isclose isdigit isdisjoint isenabled isfinite
isinf isinstance islower isnan isspace issubclass issubset issuperset isupper items iter iterable join json kbd_intr
keepends key keys ldexp len lgamma libc_ver line list listdir load loads locals localtime lock locked log log10 log2
loop lower lstrip main map match math max maxsize md5 mem_alloc mem_free mem_info memoryview message micropython min
mkdir mkfs mktime mode modf modify module modules mount mtime name namedtuple names nan new_event_loop newline next
object oct open opt_level ord os pack pack_into partition path peek pend_throw ph_key phase pi pixel platform polar
poll poly pop popitem popleft pow print print_exception property ps1 ps2 push python_compiler qstr_info radians
randint random randrange range re read readblocks readinto readline readlines readonly real reason rect register
release remove rename replace repr req reverse reversed rfind rindex rmdir round rpartition rsplit rstrip run
schedule scroll search seed seek select self send sep separators set setattr setdefault setter sha256 sin sinh sizeof
sleep sleep_ms sleep_us slice sort sorted split splitlines sqrt stack_use start startswith stat state staticmethod
statvfs stderr stdin stdout step stop str stream strip struct sub sum super symmetric_difference
symmetric_difference_update sync sys sz tan tanh target task tau tb tell text threshold throw ticks ticks_add
ticks_cpu ticks_diff ticks_ms ticks_us time time_ns timeout to_bytes trunc tuple type uctypes umount unhexlify
uniform union unlink unpack unpack_from unregister update upper val value values version version_info vline wait
wait_for wait_for_ms waiter write writeblocks zip
""".split()

# Verbs of a hand on the device, in the scripts of scenes (sim/play.py, sim/vm.py); and what tests/bench/size_day.py has
# a stand-in for.
SCRIPTED = "board run turn key_down key_up tap hold press push_turn step _above".split()

# Looked up by MicroPython itself on objects that it is given, or started with; and what drivers that are handed a bus,
# a pin or a buffer ask of it.
SPECIAL = """
readblocks writeblocks ioctl write read readinto readline close keys send throw value errno args mount umount run
writeto readfrom_into duty_u16 duty_ns freq init deinit on off irq put get active config read_u16 any
blit ellipse fill fill_rect hline line pixel poly rect scroll text vline
""".split()
