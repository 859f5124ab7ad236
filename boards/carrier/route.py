"""Routes the carrier on a grid: shortest paths with rip-up, two layers. In: pads of KiCad; out: tracks and vias for it.

Units: mm outside, cells of GRID inside. A net may enter a cell that is farther than the clearance from all copper of
others. Where there is no way, it goes over the tracks that stand in it, and their nets are routed anew.
"""

import heapq

import numpy as np

GRID, TRACK, CLEAR, VIA = 0.25, 0.4, 0.25, 0.8
_MARGIN = 0.03  # what rounding to the grid may take off a distance
FREE, BLOCKED = -1, -2
_STEPS = [(dx, dy, 14 if dx and dy else 10) for dx in (-1, 0, 1) for dy in (-1, 0, 1) if dx or dy]


def disc(radius):
    """Offsets of the cells whose middle is nearer than so many mm."""
    reach = int(radius / GRID) + 1
    return [(dx, dy) for dx in range(-reach, reach + 1) for dy in range(-reach, reach + 1)
            if (dx * dx + dy * dy) ** 0.5 * GRID < radius]


_AROUND = disc(TRACK + CLEAR + _MARGIN)  # from a track's middle: where no other track's middle may be
_AROUND_VIA = disc(VIA / 2 + CLEAR + TRACK / 2 + _MARGIN)
_VIA_ROOM = disc(GRID + 0.01)  # a via needs so much more room than a track: its neighbours must be free too


class Router:
    """One board. pads: {"net", "x", "y", "layers", "shape": (half width, half height, round)}; gaps: boxes without
    copper."""

    def __init__(self, size, pads, gaps, holes):
        self.size = tuple(int(side / GRID) + 1 for side in size)
        self.names = sorted({pad["net"] for pad in pads})
        self.fixed = np.full((2, *self.size), FREE, np.int32)
        self.x, self.y = np.meshgrid(*(np.arange(n) * GRID for n in self.size), indexing="ij")
        away = TRACK / 2 + CLEAR + _MARGIN
        self.fixed[:, self._edge(size) < 0.45 + TRACK / 2] = BLOCKED
        for x0, y0, x1, y1 in gaps:
            inside = (self.x > x0 - 0.25) & (self.x < x1 + 0.25) & (self.y > y0 - 0.25) & (self.y < y1 + 0.25)
            self.fixed[:, inside] = BLOCKED
        for x, y in holes:
            self.fixed[:, np.hypot(self.x - x, self.y - y) < 2.9] = BLOCKED
        self.ends = {}
        for pad in pads:
            self._pad(pad, away)
        self.plane = self.size[0] * self.size[1]
        self.paths, self.near, self.history = {}, {}, np.zeros(2 * self.plane, np.int64)

    def _edge(self, size):
        """How far each cell is from the board's edge."""
        return np.minimum.reduce([self.x, self.y, size[0] - self.x, size[1] - self.y])

    def _pad(self, pad, away):
        net = self.names.index(pad["net"])
        wide, tall, is_round = pad["shape"]
        dx, dy = np.abs(self.x - pad["x"]), np.abs(self.y - pad["y"])
        far = np.hypot(dx, dy) - wide if is_round else np.hypot(np.maximum(dx - wide, 0), np.maximum(dy - tall, 0))
        near = far < away
        for layer in pad["layers"]:
            plane = self.fixed[layer]
            plane[near & (plane != FREE) & (plane != net)] = BLOCKED
            plane[near & (plane == FREE)] = net
        cell = (round(pad["x"] / GRID), round(pad["y"] / GRID))
        self.ends.setdefault(net, []).append((pad, [(layer, *cell) for layer in pad["layers"]]))

    def _near(self, net):
        """The cells, as flat numbers, where no other net's track may be because of this net's tracks."""
        shapes = {False: np.array(_AROUND), True: np.array(_AROUND_VIA)}
        found = []
        for path in self.paths[net]:
            for at, (layer, x, y) in enumerate(path):
                via = at > 0 and path[at - 1][0] != layer
                cells = shapes[via] + (x, y)
                inside = ((cells >= 0) & (cells < self.size)).all(axis=1)
                flat = cells[inside, 0] * self.size[1] + cells[inside, 1]
                found += [flat + plane * self.plane for plane in ((0, 1) if via else (layer,))]
        return np.unique(np.concatenate(found))

    def connect(self, net, soft):
        """Join all pads of a net; soft: over others' tracks where there is no other way. Returns the nets in its way,
        or None where there is no way at all."""
        busy = np.zeros(2 * self.plane, bool)
        for other in self.paths:
            if other != net:
                busy[self.near[other]] = True
        mine = ((self.fixed == FREE) | (self.fixed == net)).reshape(-1)
        price = self.history + np.where(busy, 60 if soft else -1 << 20, 0)
        price[~mine] = -1
        price = np.maximum(price, -1)
        clear = (price >= 0).reshape(2, *self.size).all(axis=0)
        room = clear.copy()
        for dx, dy in _VIA_ROOM:
            room &= np.roll(clear, (-dx, -dy), (0, 1))
        room &= (self.fixed == FREE).all(axis=0)  # none in a pad; one with a hole changes layers by itself
        for pad, cells in self.ends[net]:
            if len(pad["layers"]) == 2:
                room[cells[0][1:]] = True
        price, room = price.tolist(), room.reshape(-1).tolist()
        ends, paths = list(self.ends[net]), []
        tree = {self._flat(cell) for cell in ends.pop(0)[1]}
        while ends:
            path = self._search(tree, {self._flat(cell) for _, cells in ends for cell in cells}, price, room)
            if path is None:
                return None
            last = next(n for n, (_, cells) in enumerate(ends) if path[-1] in map(self._flat, cells))
            tree |= set(path) | {self._flat(cell) for cell in ends.pop(last)[1]}
            paths.append(path)
        for path in paths:
            self.history[[cell for cell in path if busy[cell]]] += 15
        self.paths[net] = [[self._cell(flat) for flat in path] for path in paths]
        self.near[net] = self._near(net)
        return self.crossed(net) if soft else set()

    def crossed(self, net):
        """The nets that a net as it lies now comes too near to."""
        taken = np.zeros(2 * self.plane, bool)
        taken[self.near[net]] = True
        mine = self._cells(net)
        return {other for other in self.paths if other != net
                and (taken[self._cells(other)].any() or np.isin(mine, self.near[other]).any())}

    def _cells(self, net):
        """The cells that must be clear of other nets, as flat numbers: a net's tracks, and the room of its vias."""
        found = []
        for path in self.paths[net]:
            for at, (layer, x, y) in enumerate(path):
                found.append(self._flat((layer, x, y)))
                if at and path[at - 1][0] != layer:
                    found += [self._flat((plane, x + dx, y + dy)) for plane in (0, 1) for dx, dy in _VIA_ROOM]
        return np.array(found)

    def _flat(self, cell):
        return cell[0] * self.plane + cell[1] * self.size[1] + cell[2]

    def _cell(self, flat):
        layer, rest = divmod(flat, self.plane)
        return (layer, *divmod(rest, self.size[1]))

    def _search(self, tree, goals, price, room):
        """A* from the tree to the nearest goal: list of flat cells, or None."""
        across = self.size[1]
        spots = [divmod(goal % self.plane, across) for goal in goals]
        low_x, high_x = min(x for x, _ in spots), max(x for x, _ in spots)
        low_y, high_y = min(y for _, y in spots), max(y for _, y in spots)

        def left(cell):
            x, y = divmod(cell % self.plane, across)
            dx, dy = max(low_x - x, 0, x - high_x), max(low_y - y, 0, y - high_y)
            return 10 * max(dx, dy) + 4 * min(dx, dy)

        steps = [(dx * across + dy, cost) for dx, dy, cost in _STEPS]
        best, came = dict.fromkeys(tree, 0), {}
        queue = [(left(cell), 0, cell) for cell in tree]
        heapq.heapify(queue)
        while queue:
            _, cost, cell = heapq.heappop(queue)
            if cost > best[cell]:
                continue
            if cell in goals:
                path = [cell]
                while cell in came:
                    cell = came[cell]
                    path.append(cell)
                return path[::-1]
            moves = [(cell + step, cost + more) for step, more in steps]  # the edge is blocked
            if room[cell % self.plane]:
                moves.append(((cell + self.plane) % (2 * self.plane), cost + 90))
            for there, total in moves:
                extra = price[there]
                if extra >= 0 and total + extra < best.get(there, 1 << 30):
                    best[there], came[there] = total + extra, cell
                    heapq.heappush(queue, (total + extra + left(there), total + extra, there))
        return None

    def route(self, last=()):
        """All nets, short ones first, `last` at the end. Returns those that could not be joined: list of names."""
        def span(net):
            xs, ys = zip(*((pad["x"], pad["y"]) for pad, _ in self.ends[net]), strict=True)
            return max(xs) - min(xs) + max(ys) - min(ys)
        waiting = sorted((net for net in self.ends if len(self.ends[net]) > 1),
                         key=lambda net: (self.names[net] in last, span(net)))
        failed, rounds = [], 0
        while waiting:
            net, rounds = waiting.pop(0), rounds + 1
            crossed = self.connect(net, soft=False)
            if crossed is None:
                crossed = self.connect(net, soft=True) if rounds < 200 else None
            if crossed is None:
                failed.append(self.names[net])
                continue
            for other in crossed:
                del self.paths[other]
                waiting.append(other)
        return failed

    def tracks(self):
        """[(net, layer, width, points in mm)] and [(net, x, y)] of the vias; a track's ends are its pads' middles."""
        lines, vias = [], []
        for net, paths in self.paths.items():
            exact = {cell: (pad["x"], pad["y"]) for pad, cells in self.ends[net] for cell in cells}
            for path in paths:
                run = [path[0]]
                for cell in path[1:]:
                    if cell[0] != run[-1][0]:
                        self._line(lines, net, run, exact)
                        if not {(0, *cell[1:]), (1, *cell[1:])} <= set(exact):
                            vias.append((self.names[net], cell[1] * GRID, cell[2] * GRID))
                        run = [cell]
                    else:
                        run.append(cell)
                self._line(lines, net, run, exact)
        return lines, vias

    def _line(self, lines, net, run, exact):
        points = [(x * GRID, y * GRID) for _, x, y in run]
        keep = [points[0]] + [b for a, b, c in zip(points, points[1:], points[2:], strict=False)
                              if (b[0] - a[0], b[1] - a[1]) != (c[0] - b[0], c[1] - b[1])] + [points[-1]]
        for end, cell in ((0, run[0]), (-1, run[-1])):
            if cell in exact and exact[cell] != keep[end]:
                keep.insert(0 if end == 0 else len(keep), exact[cell])
        if len(keep) > 1:
            lines.append((self.names[net], run[0][0], TRACK, keep))
