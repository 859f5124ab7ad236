// Light to pixels: XYZ through a camera's white balance and exposure to sRGB. Pure functions.
// Matrices are rows of three; linear light everywhere but in the last step.

// XYZ of D65 = (0.3127, 0.3290). Source: IEC 61966-2-1.
const D65 = [0.3127 / 0.329, 1, (1 - 0.3127 - 0.329) / 0.329];

// Made from the primaries and white of each standard. Sources: ITU-R BT.2020 table 3, IEC 61966-2-1.
const WIDE_TO_XYZ = primaries([[0.708, 0.292], [0.17, 0.797], [0.131, 0.046]]);
export const XYZ_TO_WIDE = inverse(WIDE_TO_XYZ);
const XYZ_TO_SRGB = inverse(primaries([[0.64, 0.33], [0.3, 0.6], [0.15, 0.06]]));

// Bradford's cone responses. Source: CIE 159:2004, as in CIECAM97s; also ICC.1 annex E.
const CONES = [
  [0.8951, 0.2664, -0.1614],
  [-0.7502, 1.7135, 0.0367],
  [0.0389, -0.0685, 1.0296],
];

// From a camera's setting to the matrix that takes BT.2020 light (cd/m²) to linear sRGB: the white xy becomes
// neutral, and a white surface (reflectance 1) under `lux` becomes 1.
export function cameraMatrix(white, lux) {
  const scale = Math.PI / lux;
  const whole = times(XYZ_TO_SRGB, times(adapt(white), WIDE_TO_XYZ));
  return whole.map((row) => row.map((value) => value * scale));
}

function adapt([x, y]) {
  const from = apply(CONES, [x / y, 1, (1 - x - y) / y]);
  const to = apply(CONES, D65);
  const gain = [0, 1, 2].map((i) => [0, 1, 2].map((k) => (i === k ? to[i] / from[i] : 0)));
  return times(inverse(CONES), times(gain, CONES));
}

// Linear sRGB in 0..1 to 0..255 at 4096 steps of its square root, so that shadows are as fine as lights.
const STEPS = 4096;
const TABLE = new Uint8ClampedArray(STEPS + 1).map((_, i) => Math.round(255 * encode((i / STEPS) ** 2)));

export function toByte(linear) {
  if (linear <= 0) return 0;
  if (linear >= 1) return 255;
  return TABLE[(Math.sqrt(linear) * STEPS + 0.5) | 0];
}

// Source: IEC 61966-2-1.
export function encode(linear) {
  return linear <= 0.0031308 ? 12.92 * linear : 1.055 * linear ** (1 / 2.4) - 0.055;
}

// The css colour of a lamp's light by itself: its chromaticity as bright as a screen can show it, dimmed by share.
export function swatch(xyz, white, share) {
  if (!(xyz[1] > 0)) return "rgb(0 0 0)";
  const linear = apply(times(XYZ_TO_SRGB, adapt(white)), xyz).map((value) => Math.max(value, 0));
  const most = Math.max(...linear);
  return `rgb(${linear.map((value) => toByte((value / most) * share)).join(" ")})`;
}

// Chromaticity of a black body for the white balance. Source: Krystek 1985, 1000..15000 K, within 1e-4 in uv.
export function planck(cct) {
  const u = (0.860117757 + 1.54118254e-4 * cct + 1.28641212e-7 * cct * cct)
    / (1 + 8.42420235e-4 * cct + 7.08145163e-7 * cct * cct);
  const v = (0.317398726 + 4.22806245e-5 * cct + 4.20481691e-8 * cct * cct)
    / (1 - 2.89741816e-5 * cct + 1.61456053e-7 * cct * cct);
  return [(3 * u) / (2 * u - 8 * v + 4), (2 * v) / (2 * u - 8 * v + 4)];
}

// RGB to XYZ for primaries in xy and the white of D65.
function primaries(corners) {
  const columns = corners.map(([x, y]) => [x / y, 1, (1 - x - y) / y]);
  const matrix = [0, 1, 2].map((i) => columns.map((column) => column[i]));
  const gains = apply(inverse(matrix), D65);
  return matrix.map((row) => row.map((value, k) => value * gains[k]));
}

export function apply(matrix, vector) {
  return matrix.map((row) => row[0] * vector[0] + row[1] * vector[1] + row[2] * vector[2]);
}

function times(a, b) {
  return a.map((row) => [0, 1, 2].map((k) => row[0] * b[0][k] + row[1] * b[1][k] + row[2] * b[2][k]));
}

function inverse([[a, b, c], [d, e, f], [g, h, i]]) {
  const whole = a * (e * i - f * h) - b * (d * i - f * g) + c * (d * h - e * g);
  return [
    [e * i - f * h, c * h - b * i, b * f - c * e],
    [f * g - d * i, a * i - c * g, c * d - a * f],
    [d * h - e * g, b * g - a * h, a * e - b * d],
  ].map((row) => row.map((value) => value / whole));
}
