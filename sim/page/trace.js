// Worker: what each lamp alone does to each pixel, so that the picture is a weighted sum of them at any moment.
// In: {description, width, height, passes}. Out: {basis, lamps, width, height, pass}: first a sketch (pass 0) at a
// quarter of the size, then after 1, 2, 4 ... passes.
// basis: for each pixel and lamp three numbers, cd/m² for each candela of that lamp, per channel of BT.2020.

import { falls, nearest, newHit, prepare, viewRay, cross, unit } from "./rays.js";

onmessage = ({ data }) => trace(data);

function trace({ description, width, height, passes }) {
  const scene = prepare(description);
  const random = dice(7);
  sketch(scene, width, height, random);
  const sums = new Float32Array(width * height * scene.lamps.length * 3);
  for (let pass = 1; pass <= passes; pass++) {
    addPass(scene, width, height, sums, random);
    if ((pass & (pass - 1)) === 0 || pass === passes) send(sums, pass, scene, width, height);
  }
}

// A quarter of the dots each way, so that there is something to see at once.
function sketch(scene, width, height, random) {
  const [across, down] = [width / 4, height / 4];
  const sums = new Float32Array(across * down * scene.lamps.length * 3);
  addPass(scene, across, down, sums, random);
  postMessage({ basis: sums, lamps: scene.lamps.length, width: across, height: down, pass: 0 }, [sums.buffer]);
}

function send(sums, pass, scene, width, height) {
  const basis = sums.map((sum) => sum / pass);
  postMessage({ basis, lamps: scene.lamps.length, width, height, pass }, [basis.buffer]);
}

// One jittered ray through every pixel.
function addPass(scene, width, height, sums, random) {
  const hit = newHit();
  const towards = [0, 0, 0];
  const stride = scene.lamps.length * 3;
  for (let row = 0; row < height; row++) {
    for (let column = 0; column < width; column++) {
      const px = (2 * (column + random())) / width - 1;
      const py = 1 - (2 * (row + random())) / height;
      viewRay(scene.camera, width / height, px, py, towards);
      if (nearest(scene, scene.camera.at, towards, hit)) {
        addLight(scene, hit, sums, (row * width + column) * stride, random);
      }
    }
  }
}

const bounceHit = newHit();

// Light straight from the lamps, what glows itself, and light by way of one other surface.
function addLight(scene, hit, sums, at, random) {
  const solid = hit.solid;
  if (solid.glow >= 0) for (let k = 0; k < 3; k++) sums[at + solid.glow * 3 + k] += solid.gain;
  addDirect(scene, hit, solid.colour, null, sums, at, random);
  if (nearest(scene, hit.point, scatter(hit.normal, random), bounceHit)) {
    addDirect(scene, bounceHit, bounceHit.solid.colour, solid.colour, sums, at, random);
  }
}

// Light by way of a place very near a lamp is rare and strong: it would stand in the picture as single bright dots.
const MOST_BOUNCED = 6; // lux for each candela: a lamp 0.4 m away

function addDirect(scene, hit, colour, tint, sums, at, random) {
  for (let i = 0; i < scene.lamps.length; i++) {
    const lamp = scene.lamps[i];
    const lux = falls(scene, lamp, onLamp(lamp, random), hit.point, hit.normal);
    const light = (tint ? Math.min(lux, MOST_BOUNCED) : lux) / Math.PI;
    if (light === 0) continue;
    for (let k = 0; k < 3; k++) sums[at + i * 3 + k] += light * colour[k] * (tint ? tint[k] : 1);
  }
}

const spot = [0, 0, 0];

// A random place on the disc that glows.
function onLamp(lamp, random) {
  const side = lamp.side || (lamp.side = sideways(lamp.axis));
  const radius = lamp.size * Math.sqrt(random());
  const angle = 2 * Math.PI * random();
  const a = radius * Math.cos(angle);
  const b = radius * Math.sin(angle);
  for (let k = 0; k < 3; k++) spot[k] = lamp.at[k] + a * side[0][k] + b * side[1][k];
  return spot;
}

const scattered = [0, 0, 0];

// A random direction off a matt surface: more often along the normal, by the cosine.
function scatter(normal, random) {
  const [a, b] = sideways(normal);
  const radius = Math.sqrt(random());
  const angle = 2 * Math.PI * random();
  const up = Math.sqrt(1 - radius * radius);
  const x = radius * Math.cos(angle);
  const y = radius * Math.sin(angle);
  for (let k = 0; k < 3; k++) scattered[k] = x * a[k] + y * b[k] + up * normal[k];
  return scattered;
}

function sideways(axis) {
  const a = unit(cross(axis, Math.abs(axis[2]) < 0.9 ? [0, 0, 1] : [1, 0, 0]));
  return [a, cross(axis, a)];
}

// Numbers in 0..1, the same every time (a 32-bit xorshift).
function dice(seed) {
  let state = seed;
  return () => {
    state ^= state << 13;
    state ^= state >>> 17;
    state ^= state << 5;
    return (state >>> 0) / 4294967296;
  };
}
