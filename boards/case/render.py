"""A picture of meshes without a graphics card: z-buffer, flat shading, orthographic. Used for the case's picture."""

import numpy as np
from PIL import Image

LIGHT = np.array([-0.4, 0.5, 0.85]) / np.linalg.norm([-0.4, 0.5, 0.85])


def turned(points, tilt, spin):
    """Points seen from a camera: spin about y, then tilt about x, in degrees."""
    a, b = np.radians(spin), np.radians(tilt)
    about_y = np.array([[np.cos(a), 0, np.sin(a)], [0, 1, 0], [-np.sin(a), 0, np.cos(a)]])
    about_x = np.array([[1, 0, 0], [0, np.cos(b), -np.sin(b)], [0, np.sin(b), np.cos(b)]])
    return points @ (about_x @ about_y).T


class Scene:
    """A sheet to draw meshes on. scale: pixels a mm; drawn twice as large and halved, for smooth edges."""

    def __init__(self, width, height, scale):
        self.size = (2 * height, 2 * width)
        self.scale = 2 * scale
        self.colour = np.full((*self.size, 3), 250, dtype=np.float32)
        self.depth = np.full(self.size, -1e9, dtype=np.float32)

    def add(self, vertices, faces, ink, at, tilt=0.0, spin=0.0):
        """Draw a mesh. ink: (r, g, b); at: where its origin goes, px from the top left."""
        seen = turned(np.asarray(vertices, dtype=float), tilt, spin)
        flat = seen * [self.scale, -self.scale, 1] + [2 * at[0], 2 * at[1], 0]
        for corners in flat[faces]:
            self._triangle(corners, np.array(ink))

    def _triangle(self, p, ink):
        low = np.maximum(np.floor(p[:, :2].min(0)).astype(int), 0)
        high = np.minimum(np.ceil(p[:, :2].max(0)).astype(int) + 1, [self.size[1], self.size[0]])
        area = (p[1, 0] - p[0, 0]) * (p[2, 1] - p[0, 1]) - (p[2, 0] - p[0, 0]) * (p[1, 1] - p[0, 1])
        if area >= 0 or (high <= low).any():  # y is down on the sheet: faces toward us run clockwise
            return
        x, y = np.meshgrid(np.arange(low[0], high[0]) + 0.5, np.arange(low[1], high[1]) + 0.5)
        b = ((x - p[0, 0]) * (p[2, 1] - p[0, 1]) - (p[2, 0] - p[0, 0]) * (y - p[0, 1])) / area
        c = ((p[1, 0] - p[0, 0]) * (y - p[0, 1]) - (x - p[0, 0]) * (p[1, 1] - p[0, 1])) / area
        z = p[0, 2] + b * (p[1, 2] - p[0, 2]) + c * (p[2, 2] - p[0, 2])
        view = self.depth[low[1]:high[1], low[0]:high[0]]
        inside = (b >= 0) & (c >= 0) & (b + c <= 1) & (z > view)
        real = np.cross((p[1] - p[0]) / [self.scale, -self.scale, 1], (p[2] - p[0]) / [self.scale, -self.scale, 1])
        shade = 0.35 + 0.65 * max(0.0, float(real @ LIGHT) / (np.linalg.norm(real) or 1))
        view[inside] = z[inside]
        self.colour[low[1]:high[1], low[0]:high[0]][inside] = ink * shade

    def image(self):
        """The finished picture."""
        large = Image.fromarray(self.colour.astype(np.uint8))
        return large.resize((self.size[1] // 2, self.size[0] // 2), Image.LANCZOS)
