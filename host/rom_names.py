"""Names that MicroPython has in ROM: its own, those of modules that all its ports have, and the RP2040's. Used by
shorten.py and words.py.

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
NameError NoneType NotImplemented NotImplementedError OSError OrderedDict OverflowError POLLERR POLLHUP POLLIN POLLOUT
PTR RAW RGB565 RingIO RuntimeError SHORT StopAsyncIteration StopIteration StringIO SyntaxError SystemExit Task
TaskQueue TextIOWrapper ThreadSafeFlag TimeoutError TypeError UINT UINT16 UINT32 UINT64 UINT8 ULONG ULONGLONG USHORT
UnicodeError VOID ValueError ZLIB ZeroDivisionError a2b_base64 abs acos acosh acquire add addressof all any append
appendleft args argv array asin asinh atan atan2 atanh attr aw b2a_base64 bin blit bool buf buffer buffering builtins
bytearray bytearray_at byteorder bytes bytes_at calcsize callable cancel ceil center chdir choice chr classmethod
clear close closure cmath code collect collections compile complex const context copy copysign coro cos cosh count
crc32 create_task current_task data decode default deflate degrees delattr deleter deque dest dict difference
difference_update digest dir disable discard divmod doc done dump dumps ellipse enable encode encoding end endswith
enumerate erf erfc errno errorcode eval event exc exc_type exception exec execfile exit exp expm1 extend fabs
factorial file fill fill_rect filter find flags float floor flush fmod format framebuf frexp from_bytes fromhex
fromkeys frozenset function future gamma gather gc get get_event_loop getattr getcwd getrandbits getter getvalue
globals gmtime group handler hasattr hash hashlib heap_lock heap_unlock heapify heappop heappush heapq help hex
hexlify hline id ilistdir imag implementation index indices inf input insert int intersection intersection_update io
ioctl ipoll is_set isalpha isclose isdigit isdisjoint isenabled isfinite isinf isinstance islower isnan isspace
issubclass issubset issuperset isupper items iter iterable join json kbd_intr keepends key keys ldexp len lgamma
libc_ver line list listdir load loads locals localtime lock locked log log10 log2 loop lower lstrip main map match
math max maxsize md5 mem_alloc mem_free mem_info memoryview message micropython min mkdir mkfs mktime mode modf modify
module modules mount mtime name namedtuple nan new_event_loop newline next object oct open opt_level ord os pack
pack_into partition path peek pend_throw ph_key phase pi pixel platform polar poll poly pop popitem popleft pow print
print_exception property ps1 ps2 push python_compiler qstr_info radians randint random randrange range re read
readblocks readinto readline readlines readonly real rect register release remove rename replace repr req reverse
reversed rfind rindex rmdir round rpartition rsplit rstrip run schedule scroll search seed seek select self send sep
separators set setattr setdefault setter sha256 sin sinh sizeof sleep sleep_ms sleep_us slice sort sorted split
splitlines sqrt stack_use start startswith stat state staticmethod statvfs stderr stdin stdout step stop str stream
strip struct sub sum super symmetric_difference symmetric_difference_update sync sys sz tan tanh task tau tb tell text
threshold throw ticks ticks_add ticks_cpu ticks_diff ticks_ms ticks_us time time_ns timeout to_bytes trunc tuple type
uctypes umount unhexlify uniform union unlink unpack unpack_from unregister update upper value values version
version_info vline wait wait_for wait_for_ms waiter write writeblocks zip
""".split()

# What the RP2040's MicroPython has in ROM besides (1.28.0): names of machine and rp2, of its assembler, and of the
# modules that are compiled into it. tests/chip asks the chip whether they cost nothing.
RP2 = """
ADC ALT ALT_GPCK ALT_I2C ALT_PIO0 ALT_PIO1 ALT_PWM ALT_SIO ALT_SPI ALT_UART ALT_USB BUILTIN_CDC BUILTIN_NONE CORE_TEMP
CTS DHT11 DHT22 DHTBase DMA DS18X20 Flash GPCK I2C I2CTarget I2S IN INV_RX INV_TX IN_HIGH IN_LOW IOQueue IRQ_BREAK
IRQ_END_READ IRQ_FALLING IRQ_READ_REQ IRQ_RISING IRQ_RXIDLE IRQ_SM0 IRQ_SM1 IRQ_SM2 IRQ_SM3 IRQ_TXIDLE JOIN_NONE
JOIN_RX JOIN_TX LED LSB LockType Loop MATCH_ROM MONO MSB NeoPixel ONE_SHOT OPEN_DRAIN ORDER OUT OUT_HIGH OUT_LOW
OneWire OneWireError PERIODIC PIO PIO0 PIO1 PIOASMEmit PIOASMError PULL_DOWN PULL_UP PWM PWRON_RESET Pin PinAF RTC RTS
RX SEARCH_ROM SHIFT_LEFT SHIFT_RIGHT SIO SKIP_ROM SOCK_STREAM SOL_SOCKET SO_REUSEADDR SPI SSLContext STEREO Server
Signal SoftI2C SoftSPI StateMachine Stream StreamReader StreamWriter TX Timer UART USB USBDevice VfsFat VfsLfs2 WDT
WDT_RESET _Remove _asyncio _attrs _build _dequeue _enqueue _exc_context _exc_handler _io_queue _machine _mpy _onewire
_ow _pio_funcs _rp2 _run _search_rom _serve _stop_task _stopper _task_queue _thread abs_tol accept aclose active
add_program addr addrsize aes ahb_err align alt and_ arg asm_pio asm_thumb asr asyncio autopull autopush awrite
awritestr backlog baudrate bdev binascii bind bits bitstream bl block board bootloader bound_method bpp bswap busy bx
bytecode callback cb chain_to channel clz cmp cond config connect convert_temp core cpsid cpsie cpu crc8 cryptolib
ctrl cts cur_task datetime dec decrypt deepsleep deinit delay delay_max desc_cfg desc_dev desc_strs dht_readinto
dict_view diff disable_irq drain dt dupterm duty_ns duty_u16 enable_irq encrypt ep_max er esp feed fifo_join firstbit
flow freq fs funcs generator get_ident getaddrinfo gpio groups hard high high_pri host humidity ibuf idle idx ifempty
iffull in_ in_base in_shiftdir inc_read inc_write init instr invert irq irq_quiet isr iterator itf_max jmp jmp_pin
l_rom label labels ldr ldrb ldrex ldrh lightsleep listen little lookahead low lsl lsr machine main_task measure mem
mem16 mem32 mem8 mem_addrsize memaddr miso mod mosi mov movt movw movwt mrs native noblock nodename nop not_osre not_x
not_y null num_instr num_sideset off on onewire open_itf_cb osr out out_base out_buf out_init out_shiftdir ow
pack_ctrl parity pass_ pc peername period pin pindirs pins polarity poller port prog progsize ptr ptr16 ptr32 ptr8
pull pull_thresh push_thresh put pyb pyboard queue_read queue_write rate rb rbit read_err read_scratch read_temp
read_u16 readbit readbyte readexactly readfrom readfrom_mem readsize registers rel rel_tol required reset reset_cause
reset_cb restart ring_sel ring_size rom rp2 rts run_forever runq_len rx rx_fifo rxbuf scan sck scl sd sda sdiv
select_rom sendbreak server_side set_base set_init setblocking setsockopt sgen sha1 shift side side_pindir
sideset_base sideset_init sideset_opt single size sniff_en socket soft_reset span src ssl stack_size stall start_pass
start_server status str_max strb strex strh submit_xfer sysname temperature tick_hz timeout_char timing toggle
treq_sel trigger tx tx_fifo txbuf txdone udiv uint uname unique_id unpack_ctrl unsafe urandom usys value2 vcmp
vcvt_f32_s32 vcvt_s32_f32 vfs viper vldr vmov vmrs vneg vsqrt vstr wait_closed waiting waitq_len wfi word wrap
wrap_socket wrap_target wrap_used write_err writebit writebyte writeto writeto_mem writevto ws x_dec x_not_y xfer_cb
y_dec
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
