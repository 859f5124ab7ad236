// Rays on the set: which solid a ray meets, and how much of a lamp's light reaches a point.
// Pure functions on the description from sim/scene.py (metres; x right, y away, z up). Used by trace.js and set.js.

const NEAR = 2e-3;

// Solids in groups that stand together, each inside a box: a ray that misses the box misses them all.
export function prepare(description) {
  const names = description.lamps.map((lamp) => lamp.name);
  const solids = description.solids.map((solid) => ({
    ...solid,
    clear: Boolean(solid.clear),
    glow: names.indexOf(solid.glow),
    gain: solid.gain || 0,
  }));
  const groups = Map.groupBy ? [...Map.groupBy(solids, (solid) => solid.group).values()] : [solids];
  return {
    camera: description.camera,
    lamps: description.lamps.map(prepareLamp),
    groups: groups.map((members) => ({ around: around(members), members })),
  };
}

// The box around solids.
function around(solids) {
  const low = [Infinity, Infinity, Infinity];
  const high = [-Infinity, -Infinity, -Infinity];
  for (const solid of solids) {
    const [from, to] = extent(solid);
    for (let k = 0; k < 3; k++) {
      low[k] = Math.min(low[k], from[k]);
      high[k] = Math.max(high[k], to[k]);
    }
  }
  return { kind: "box", low, high };
}

function extent({ kind, low, high, at, radii, radius, height }) {
  if (kind === "box") return [low, high];
  if (kind === "ball") return [at.map((v, k) => v - radii[k]), at.map((v, k) => v + radii[k])];
  return [[at[0] - radius, at[1] - radius, at[2]], [at[0] + radius, at[1] + radius, at[2] + height]];
}

function prepareLamp(lamp) {
  const axis = unit(minus(lamp.aim, lamp.at));
  const bare = lamp.beam === null;
  // Half of the peak at the edge of the beam, as a power of the cosine.
  const power = bare ? 0 : Math.log(0.5) / Math.log(Math.cos((lamp.beam * Math.PI) / 360));
  return { ...lamp, axis, bare, power };
}

// The nearest solid along a ray: fills hit (solid, distance, point, normal) and returns whether there is one.
export function nearest(scene, origin, towards, hit) {
  hit.solid = null;
  hit.distance = Infinity;
  for (const { around, members } of scene.groups) {
    if (meetBox(around, origin, towards) === Infinity) continue;
    for (const solid of members) {
      const distance = meet(solid, origin, towards);
      if (distance < hit.distance) {
        hit.distance = distance;
        hit.solid = solid;
      }
    }
  }
  if (hit.solid === null) return false;
  for (let k = 0; k < 3; k++) hit.point[k] = origin[k] + hit.distance * towards[k];
  faces(hit.solid, hit.point, hit.normal);
  return true;
}

export function newHit() {
  return { solid: null, distance: 0, point: [0, 0, 0], normal: [0, 0, 0] };
}

// Whether something stands between a point and one at `reach` metres from it.
function blocked(scene, origin, towards, reach) {
  for (const { around, members } of scene.groups) {
    if (meetBox(around, origin, towards) >= reach) continue;
    for (const solid of members) {
      if (!solid.clear && meet(solid, origin, towards) < reach - NEAR) return true;
    }
  }
  return false;
}

const toward = [0, 0, 0];

// Lux on a surface for each candela of a lamp, seen from one spot on what glows: inverse square, beam, cosine, shadow.
export function falls(scene, lamp, from, point, normal) {
  let square = 0;
  for (let k = 0; k < 3; k++) {
    toward[k] = from[k] - point[k];
    square += toward[k] * toward[k];
  }
  const distance = Math.sqrt(square);
  for (let k = 0; k < 3; k++) toward[k] /= distance;
  const facing = dot(normal, toward);
  if (facing <= 0) return 0;
  const along = lamp.bare ? 1 : -dot(lamp.axis, toward);
  if (along <= 0) return 0;
  const light = (facing * (lamp.bare ? 1 : along ** lamp.power)) / square;
  return blocked(scene, point, toward, distance) ? 0 : light;
}

// The ray through a place on the picture: px, py in -1..1 from the middle to the edge, py upward.
export function viewRay(camera, aspect, px, py, towards) {
  const forward = unit(minus(camera.to, camera.at));
  const right = unit([forward[1], -forward[0], 0]);
  const up = cross(right, forward);
  const tall = Math.tan((camera.fov * Math.PI) / 360);
  for (let k = 0; k < 3; k++) towards[k] = forward[k] + px * tall * aspect * right[k] + py * tall * up[k];
  const length = Math.hypot(...towards);
  for (let k = 0; k < 3; k++) towards[k] /= length;
  return towards;
}

// Where a point of the set lies on the picture: the inverse of viewRay, [px, py].
export function onPicture(camera, aspect, point) {
  const forward = unit(minus(camera.to, camera.at));
  const right = unit([forward[1], -forward[0], 0]);
  const up = cross(right, forward);
  const away = minus(point, camera.at);
  const tall = Math.tan((camera.fov * Math.PI) / 360) * dot(away, forward);
  return [dot(away, right) / (tall * aspect), dot(away, up) / tall];
}

function meet(solid, origin, towards) {
  if (solid.kind === "box") return meetBox(solid, origin, towards);
  if (solid.kind === "ball") return meetBall(solid, origin, towards);
  return meetCan(solid, origin, towards);
}

// The nearer of two roots that lies ahead.
function ahead(near, far) {
  if (near > far) return Infinity;
  if (near > NEAR) return near;
  return far > NEAR ? far : Infinity;
}

function meetBox({ low, high }, origin, towards) {
  const sx = 1 / towards[0];
  const sy = 1 / towards[1];
  const sz = 1 / towards[2];
  const ax = (low[0] - origin[0]) * sx;
  const bx = (high[0] - origin[0]) * sx;
  const ay = (low[1] - origin[1]) * sy;
  const by = (high[1] - origin[1]) * sy;
  const az = (low[2] - origin[2]) * sz;
  const bz = (high[2] - origin[2]) * sz;
  const near = Math.max(Math.min(ax, bx), Math.min(ay, by), Math.min(az, bz));
  const far = Math.min(Math.max(ax, bx), Math.max(ay, by), Math.max(az, bz));
  return ahead(near, far);
}

function meetBall({ at, radii }, origin, towards) {
  const ox = (origin[0] - at[0]) / radii[0];
  const oy = (origin[1] - at[1]) / radii[1];
  const oz = (origin[2] - at[2]) / radii[2];
  const tx = towards[0] / radii[0];
  const ty = towards[1] / radii[1];
  const tz = towards[2] / radii[2];
  const a = tx * tx + ty * ty + tz * tz;
  const b = ox * tx + oy * ty + oz * tz;
  const c = ox * ox + oy * oy + oz * oz - 1;
  const under = b * b - a * c;
  if (under <= 0) return Infinity;
  const root = Math.sqrt(under);
  return ahead((-b - root) / a, (-b + root) / a);
}

function meetCan(solid, origin, towards) {
  const x = origin[0] - solid.at[0];
  const y = origin[1] - solid.at[1];
  const z = origin[2] - solid.at[2];
  const a = towards[0] * towards[0] + towards[1] * towards[1] || 1e-12;
  const b = x * towards[0] + y * towards[1];
  const under = b * b - a * (x * x + y * y - solid.radius * solid.radius);
  if (under <= 0) return Infinity;
  const root = Math.sqrt(under);
  const slope = 1 / towards[2];
  const low = -z * slope;
  const high = (solid.height - z) * slope;
  return ahead(
    Math.max((-b - root) / a, Math.min(low, high)),
    Math.min((-b + root) / a, Math.max(low, high)),
  );
}

// The unit vector out of a solid at a point of its surface.
function faces(solid, point, normal) {
  if (solid.kind === "box") facesBox(solid, point, normal);
  else if (solid.kind === "ball") {
    for (let k = 0; k < 3; k++) normal[k] = (point[k] - solid.at[k]) / solid.radii[k] ** 2;
  } else facesCan(solid, point, normal);
  const length = Math.hypot(normal[0], normal[1], normal[2]);
  for (let k = 0; k < 3; k++) normal[k] /= length;
}

function facesBox(solid, point, normal) {
  let best = Infinity;
  normal.fill(0);
  for (let k = 0; k < 3; k++) {
    const low = Math.abs(point[k] - solid.low[k]);
    const high = Math.abs(point[k] - solid.high[k]);
    if (Math.min(low, high) < best) {
      best = Math.min(low, high);
      normal.fill(0);
      normal[k] = low < high ? -1 : 1;
    }
  }
}

function facesCan(solid, point, normal) {
  const z = point[2] - solid.at[2];
  const edge = Math.abs(Math.hypot(point[0] - solid.at[0], point[1] - solid.at[1]) - solid.radius);
  if (Math.min(Math.abs(z), Math.abs(z - solid.height)) < edge) {
    normal[0] = normal[1] = 0;
    normal[2] = Math.abs(z) < Math.abs(z - solid.height) ? -1 : 1;
  } else {
    normal[0] = point[0] - solid.at[0];
    normal[1] = point[1] - solid.at[1];
    normal[2] = 0;
  }
}

export function dot(a, b) {
  return a[0] * b[0] + a[1] * b[1] + a[2] * b[2];
}

export function cross(a, b) {
  return [a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]];
}

export function minus(a, b) {
  return [a[0] - b[0], a[1] - b[1], a[2] - b[2]];
}

export function unit(a) {
  const length = Math.hypot(a[0], a[1], a[2]);
  return [a[0] / length, a[1] / length, a[2] / length];
}
