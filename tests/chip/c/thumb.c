/* The instructions of ARMv6-M (ARM DDI 0419), cycles as in the Cortex-M0+ TRM's table 3-1 with the single-cycle
 * multiplier and single-cycle IO; and the loop that runs them. */

/* A jump that may be a return from an exception. */
static inline void jump(Chip *c, uint32_t to, uint32_t *next) {
    if (to >> 28 == 15 && c->ipsr) {
        leave(c, to);
        *next = c->r[15];
    } else
        *next = to & ~1u;
}

static inline uint32_t add(Chip *c, uint32_t a, uint32_t b, uint32_t carry) {
    uint64_t wide = (uint64_t)a + b + carry;
    uint32_t sum = wide;
    c->n = sum >> 31;
    c->z = !sum;
    c->cy = wide >> 32;
    c->v = ((a ^ sum) & (b ^ sum)) >> 31;
    return sum;
}

static inline uint32_t nz(Chip *c, uint32_t value) {
    c->n = value >> 31;
    c->z = !value;
    return value;
}

static inline uint32_t shift(Chip *c, int kind, uint32_t value, uint32_t by) {
    if (!by) return nz(c, value);
    switch (kind) {
        case 0: /* LSL */
            c->cy = by <= 32 ? value >> (32 - by) & 1 : 0;
            if (by == 32) c->cy = value & 1;
            return nz(c, by < 32 ? value << by : 0);
        case 1: /* LSR */
            c->cy = by <= 32 ? value >> (by - 1) & 1 : 0;
            return nz(c, by < 32 ? value >> by : 0);
        case 2: /* ASR */
            if (by > 32) by = 32;
            c->cy = (int32_t)value >> (by - 1) & 1;
            return nz(c, by < 32 ? (uint32_t)((int32_t)value >> by) : value >> 31 ? ~0u : 0);
        default: /* ROR */
            by &= 31;
            if (by) value = value >> by | value << (32 - by);
            c->cy = value >> 31;
            return nz(c, value);
    }
}

static inline int holds(const Chip *c, int condition) {
    int is;
    switch (condition >> 1) {
        case 0: is = c->z; break;
        case 1: is = c->cy; break;
        case 2: is = c->n; break;
        case 3: is = c->v; break;
        case 4: is = c->cy && !c->z; break;
        case 5: is = c->n == c->v; break;
        case 6: is = !c->z && c->n == c->v; break;
        default: return 1;
    }
    return condition & 1 ? !is : is;
}

static int data_processing(Chip *c, uint32_t op) {
    uint32_t *r = c->r, d = op & 7, m = op >> 3 & 7;
    switch (op >> 6 & 15) {
        case 0: r[d] = nz(c, r[d] & r[m]); break;
        case 1: r[d] = nz(c, r[d] ^ r[m]); break;
        case 2: r[d] = shift(c, 0, r[d], r[m] & 255); break;
        case 3: r[d] = shift(c, 1, r[d], r[m] & 255); break;
        case 4: r[d] = shift(c, 2, r[d], r[m] & 255); break;
        case 5: r[d] = add(c, r[d], r[m], c->cy); break;
        case 6: r[d] = add(c, r[d], ~r[m], c->cy); break;
        case 7: r[d] = shift(c, 3, r[d], r[m] & 255); break;
        case 8: nz(c, r[d] & r[m]); break;
        case 9: r[d] = add(c, 0, ~r[m], 1); break;
        case 10: add(c, r[d], ~r[m], 1); break;
        case 11: add(c, r[d], r[m], 0); break;
        case 12: r[d] = nz(c, r[d] | r[m]); break;
        case 13: r[d] = nz(c, r[d] * r[m]); break;
        case 14: r[d] = nz(c, r[d] & ~r[m]); break;
        case 15: r[d] = nz(c, ~r[m]); break;
    }
    return 1;
}

static uint32_t special_read(Chip *c, uint32_t which) {
    switch (which) {
        case 0: case 1: case 2: case 3: case 4: case 5: case 6: case 7:
            return (which & 4 ? 0 : flags(c)) | (which & 1 ? c->ipsr : 0);
        case 8: return c->control & 2 && !c->ipsr ? c->msp : c->r[13];
        case 9: return c->control & 2 && !c->ipsr ? c->r[13] : c->psp;
        case 16: return c->primask;
        case 20: return c->control;
    }
    return 0;
}

static void special_write(Chip *c, uint32_t which, uint32_t value) {
    int psp = c->control & 2 && !c->ipsr;
    switch (which) {
        case 0: case 1: case 2: case 3: set_flags(c, value); break;
        case 8: *(psp ? &c->msp : &c->r[13]) = value & ~3u; break;
        case 9: *(psp ? &c->r[13] : &c->psp) = value & ~3u; break;
        case 16: c->primask = value & 1; c->check = 1; break;
        case 20:
            if (c->ipsr) { c->control = (c->control & 2) | (value & 1); break; }
            if ((value & 2) && !psp) c->msp = c->r[13], c->r[13] = c->psp;
            if (!(value & 2) && psp) c->psp = c->r[13], c->r[13] = c->msp;
            c->control = value & 3;
            break;
    }
}

static void sleep_until_event(Chip *c) {
    if (c->event) c->event = 0;
    else c->asleep = 2, c->check = 1, c->until = 0;
}

/* 0xb000 to 0xbfff. Returns cycles, or -1: no such instruction. */
static int miscellaneous(Chip *c, uint32_t op, uint32_t *next) {
    uint32_t *r = c->r, d = op & 7, m = op >> 3 & 7;
    switch (op >> 8 & 15) {
        case 0:
            if (op & 0x80) r[13] -= (op & 127) * 4;
            else r[13] += (op & 127) * 4;
            return 1;
        case 2:
            switch (op >> 6 & 3) {
                case 0: r[d] = (int16_t)r[m]; break;
                case 1: r[d] = (int8_t)r[m]; break;
                case 2: r[d] = (uint16_t)r[m]; break;
                case 3: r[d] = (uint8_t)r[m]; break;
            }
            return 1;
        case 4: case 5: { /* PUSH */
            uint32_t list = (op & 255) | (op & 256) << 6, count = __builtin_popcount(list), a = r[13] - 4 * count;
            r[13] = a;
            for (; list; list &= list - 1, a += 4) bus_write(c, a, r[__builtin_ctz(list)], 4);
            return 1 + count;
        }
        case 6:
            if ((op & 0xffef) != 0xb662) return -1;
            c->primask = op >> 4 & 1;
            c->check = 1;
            return 1;
        case 10: {
            uint32_t v = r[m];
            switch (op >> 6 & 3) {
                case 0: r[d] = __builtin_bswap32(v); break;
                case 1: r[d] = (v & 0xff00ff) << 8 | (v >> 8 & 0xff00ff); break;
                case 3: r[d] = (int16_t)__builtin_bswap16(v); break;
                default: return -1;
            }
            return 1;
        }
        case 12: case 13: { /* POP */
            uint32_t list = op & 255, a = r[13], count = __builtin_popcount(list);
            for (; list; list &= list - 1, a += 4) r[__builtin_ctz(list)] = bus_read(c, a, 4);
            if (op & 256) {
                uint32_t to = bus_read(c, a, 4);
                r[13] = a + 4;
                jump(c, to, next);
                return 3 + count + 1;
            }
            r[13] = a;
            return 1 + count;
        }
        case 15:
            switch (op & 255) {
                case 0x20: sleep_until_event(c); return 2;
                case 0x30: c->asleep = 1; c->check = 1; c->until = 0; return 2;
                case 0x40: c->event = 1; return 1;
            }
            return 1;
    }
    return -1;
}

/* The 32-bit instructions. */
static int wide(Chip *c, uint32_t op, uint32_t low, uint32_t *next) {
    uint32_t *r = c->r;
    if ((low & 0xd000) == 0xd000) { /* BL */
        uint32_t s = op >> 10 & 1, j1 = ~(low >> 13 ^ s) & 1, j2 = ~(low >> 11 ^ s) & 1;
        uint32_t offset = (s ? 0xff000000 : 0) | j1 << 23 | j2 << 22 | (op & 1023) << 12 | (low & 2047) << 1;
        r[14] = (r[15] + 4) | 1;
        *next = r[15] + 4 + offset;
        return 3;
    }
    *next = r[15] + 4;
    if ((op & 0xfff0) == 0xf380 && (low & 0xff00) == 0x8800) {
        special_write(c, low & 255, r[op & 15]);
        return 3;
    }
    if (op == 0xf3ef && (low & 0xf000) == 0x8000) {
        r[low >> 8 & 15] = special_read(c, low & 255);
        return 3;
    }
    if (op == 0xf3bf && (low & 0xff00) == 0x8f00) return 3; /* DSB, DMB, ISB */
    return -1;
}

/* Loads and stores with a register as offset, 0x5000 to 0x5fff. */
static inline int load_store(Chip *c, uint32_t op) {
    uint32_t *r = c->r, d = op & 7, a = r[op >> 3 & 7] + r[op >> 6 & 7];
    int size;
    switch (op >> 9 & 7) {
        case 0: case 4: size = 4; break;
        case 1: case 5: case 7: size = 2; break;
        default: size = 1;
    }
    if (a & (size - 1)) return -1;
    switch (op >> 9 & 7) {
        case 0: case 1: case 2: bus_write(c, a, r[d], size); break;
        case 3: r[d] = (int8_t)bus_read(c, a, 1); break;
        case 7: r[d] = (int16_t)bus_read(c, a, 2); break;
        default: r[d] = bus_read(c, a, size);
    }
    return a >> 28 == 13 ? 1 : 2;
}

static inline int execute(Chip *c, uint32_t op, uint32_t *next) {
    uint32_t *r = c->r, d = op & 7, m = op >> 3 & 7, a, imm = op >> 6 & 31;
    switch (op >> 11) {
        case 0: r[d] = imm ? shift(c, 0, r[m], imm) : nz(c, r[m]); return 1;
        case 1: r[d] = shift(c, 1, r[m], imm ? imm : 32); return 1;
        case 2: r[d] = shift(c, 2, r[m], imm ? imm : 32); return 1;
        case 3: {
            uint32_t value = op & 0x400 ? op >> 6 & 7 : r[op >> 6 & 7];
            r[d] = op & 0x200 ? add(c, r[m], ~value, 1) : add(c, r[m], value, 0);
            return 1;
        }
        case 4: r[op >> 8 & 7] = nz(c, op & 255); return 1;
        case 5: add(c, r[op >> 8 & 7], ~(op & 255), 1); return 1;
        case 6: r[op >> 8 & 7] = add(c, r[op >> 8 & 7], op & 255, 0); return 1;
        case 7: r[op >> 8 & 7] = add(c, r[op >> 8 & 7], ~(op & 255), 1); return 1;
        case 8: {
            if (!(op & 0x400)) return data_processing(c, op);
            uint32_t from = op >> 3 & 15, to = (op & 7) | (op >> 4 & 8);
            uint32_t value = from == 15 ? r[15] + 4 : r[from];
            switch (op >> 8 & 3) {
                case 0: value += to == 15 ? r[15] + 4 : r[to]; break;
                case 1: add(c, to == 15 ? r[15] + 4 : r[to], ~value, 1); return 1;
                case 2: break;
                case 3: /* BX, BLX */
                    if (!(value & 1) && !(value >> 28 == 15)) return -1;
                    if (op & 0x80) r[14] = (r[15] + 2) | 1;
                    jump(c, value, next);
                    return 2;
            }
            if (to == 15) {
                *next = value & ~1u;
                return 2;
            }
            r[to] = to == 13 ? value & ~3u : value;
            return 1;
        }
        case 9: r[op >> 8 & 7] = bus_read(c, ((r[15] + 4) & ~3u) + (op & 255) * 4, 4); return 2;
        case 10: case 11: return load_store(c, op);
        case 12: a = r[m] + imm * 4; if (a & 3) return -1; bus_write(c, a, r[d], 4); return a >> 28 == 13 ? 1 : 2;
        case 13: a = r[m] + imm * 4; if (a & 3) return -1; r[d] = bus_read(c, a, 4); return a >> 28 == 13 ? 1 : 2;
        case 14: a = r[m] + imm; bus_write(c, a, r[d], 1); return a >> 28 == 13 ? 1 : 2;
        case 15: a = r[m] + imm; r[d] = bus_read(c, a, 1); return a >> 28 == 13 ? 1 : 2;
        case 16: a = r[m] + imm * 2; if (a & 1) return -1; bus_write(c, a, r[d], 2); return a >> 28 == 13 ? 1 : 2;
        case 17: a = r[m] + imm * 2; if (a & 1) return -1; r[d] = bus_read(c, a, 2); return a >> 28 == 13 ? 1 : 2;
        case 18: bus_write(c, r[13] + (op & 255) * 4, r[op >> 8 & 7], 4); return 2;
        case 19: r[op >> 8 & 7] = bus_read(c, r[13] + (op & 255) * 4, 4); return 2;
        case 20: r[op >> 8 & 7] = ((r[15] + 4) & ~3u) + (op & 255) * 4; return 1;
        case 21: r[op >> 8 & 7] = r[13] + (op & 255) * 4; return 1;
        case 22: case 23: return miscellaneous(c, op, next);
        case 24: case 25: { /* STM, LDM */
            uint32_t n = op >> 8 & 7, list = op & 255, count = __builtin_popcount(list);
            a = r[n];
            if (a & 3) return -1;
            if (op & 0x800) {
                uint32_t from = a;
                for (uint32_t left = list; left; left &= left - 1, from += 4)
                    r[__builtin_ctz(left)] = bus_read(c, from, 4);
                if (!(list >> n & 1)) r[n] = a + 4 * count;
            } else {
                for (uint32_t left = list; left; left &= left - 1, a += 4) bus_write(c, a, r[__builtin_ctz(left)], 4);
                r[n] = a;
            }
            return 1 + count;
        }
        case 26: case 27: {
            int condition = op >> 8 & 15;
            if (condition == 15) { /* SVC */
                c->pend_svc = 1;
                c->check = 1;
                return 1;
            }
            if (condition == 14) return -1;
            if (!holds(c, condition)) return 1;
            *next = r[15] + 4 + (int8_t)op * 2;
            return 2;
        }
        case 28: *next = r[15] + 4 + ((int32_t)(op << 21) >> 20); return 2;
        case 30: {
            uint32_t at = r[15] + 2 - c->code_lo;
            if (at >= c->code_size) return -1;
            if (c->code_cached && (r[15] + 2) >> 2 != c->cache.word) {
                c->wait += cache_read(c, r[15] + 2);
                c->cache.word = (r[15] + 2) >> 2;
            }
            return wide(c, op, load(c->code + at, 2), next);
        }
    }
    return -1;
}

static int code_region(Chip *c, uint32_t pc) {
    c->code_cached = 0;
    if (pc < 0x4000) c->code = c->rom, c->code_lo = 0, c->code_size = 0x4000;
    else if (pc - 0x20000000 < RAM_SIZE) c->code = c->ram, c->code_lo = 0x20000000, c->code_size = RAM_SIZE;
    else if (pc >> 26 == 0x10000000 >> 26) {
        c->code = c->flash;
        c->code_lo = pc & 0xff000000;
        c->code_size = FLASH_SIZE;
        c->code_cached = c->cache.on;
    } else {
        c->code_size = 0;
        return 0;
    }
    return pc - c->code_lo < c->code_size;
}

/* Instructions until c->until, or until something calls for attention. */
static void cpu_run(Chip *c) {
    while (c->now < c->until) {
        if (c->check) {
            exceptions(c);
            if (c->asleep) return;
        }
        uint32_t pc = c->r[15], at = pc - c->code_lo;
        if (at >= c->code_size) {
            if (!code_region(c, pc)) {
                fault(c);
                if (c->stop) return;
                continue;
            }
            at = pc - c->code_lo;
        }
        if (c->code_cached && pc >> 2 != c->cache.word) {
            c->wait += cache_read(c, pc);
            c->cache.word = pc >> 2;
        }
        uint32_t next = pc + 2;
        int cycles = execute(c, load(c->code + at, 2), &next);
        c->instructions++;
        if (cycles < 0) {
            fault(c);
            if (c->stop) return;
            continue;
        }
        c->r[15] = next;
        uint32_t took = cycles + c->wait;
        c->now += c->slow == 256 ? took : (uint64_t)took * c->slow >> 8;
        c->wait = 0;
    }
}
