// The picture: each lamp's share of every pixel (trace.js) times its light now, through the camera, into bytes.

import { apply, toByte, XYZ_TO_WIDE } from "./colour.js";

// basis: as trace.js sends it. lights: for each lamp XYZ in candela. matrix: colour.cameraMatrix. image: ImageData.
export function paint(basis, lights, matrix, image) {
  const gains = Float64Array.from(lights.flatMap((xyz) => apply(XYZ_TO_WIDE, xyz)));
  const [[m0, m1, m2], [m3, m4, m5], [m6, m7, m8]] = matrix;
  const stride = gains.length;
  const bytes = image.data;
  for (let at = 0, out = 0; out < bytes.length; at += stride, out += 4) {
    let r = 0;
    let g = 0;
    let b = 0;
    for (let i = 0; i < stride; i += 3) {
      r += basis[at + i] * gains[i];
      g += basis[at + i + 1] * gains[i + 1];
      b += basis[at + i + 2] * gains[i + 2];
    }
    put(bytes, out, m0 * r + m1 * g + m2 * b, m3 * r + m4 * g + m5 * b, m6 * r + m7 * g + m8 * b);
  }
}

function put(bytes, out, r, g, b) {
  if (r < 0 || g < 0 || b < 0) {
    // A colour no screen can show: paler until it can, at the same luminance (weights: IEC 61966-2-1).
    const grey = 0.2126 * r + 0.7152 * g + 0.0722 * b;
    const keep = grey <= 0 ? 0 : grey / (grey - Math.min(r, g, b));
    r = grey + (r - grey) * keep;
    g = grey + (g - grey) * keep;
    b = grey + (b - grey) * keep;
  }
  bytes[out] = toByte(r);
  bytes[out + 1] = toByte(g);
  bytes[out + 2] = toByte(b);
  bytes[out + 3] = 255;
}
