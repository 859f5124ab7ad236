// The set: the picture lit by the lamps, the plan, the camera's settings, and where the meter stands.

import { cameraMatrix, planck, swatch } from "./colour.js";
import { drawPlan, lightPlan } from "./plan.js";
import { nearest, newHit, onPicture, prepare, viewRay } from "./rays.js";

const DOME = 340; // ISO 2720's constant for a dome; the same as in sim/scene.py
const WIDTH = 480;
const HEIGHT = 300;
const PASSES = Number(new URLSearchParams(location.search).get("passes") ?? 32); // fewer: rougher, sooner done
const STOPS = ["1", "1.4", "2", "2.8", "4", "5.6", "8", "11", "16"];
const DARK = 600; // ms without light until it is said why: a start and a cut between two looks are shorter
const get = (id) => document.querySelector(id);

// say(object) sends to the server.
export function set(say) {
  const picture = get("#picture");
  const state = { say, picture, context: picture.getContext("2d"), camera: camera(), lights: [] };
  const start = (file) => new Worker(new URL(file, import.meta.url), { type: "module" });
  state.tracer = start("trace.js");
  state.tracer.onmessage = ({ data }) => traced(state, data);
  state.painter = start("painter.js");
  state.painter.onmessage = ({ data }) => painted(state, data);
  controls(state);
  pointing(state);
  return {
    show: (description) => show(state, description),
    lights: (xyz) => take(state, xyz),
    meter: (reading) => meter(state, reading),
  };
}

function camera() {
  return { stop: 3, parts: 10, white: 1e6 / 233, iso: 800, fps: 24, shutter: 180 };
}

function show(state, description) {
  const text = JSON.stringify(description);
  if (text === state.text) return;
  state.text = text;
  state.scene = prepare(description);
  state.description = description;
  state.lamps = description.lamps.length;
  state.tracer.postMessage({ description, width: WIDTH, height: HEIGHT, passes: PASSES });
  drawPlan(get("#plan"), state.scene, description.mark);
  toMark(state);
  sayWhyDark(state);
}

// Over a set without light: why, and what to do.
function sayWhyDark(state) {
  clearTimeout(state.darkening);
  const said = get("#dark");
  if (state.lights.some((xyz) => xyz[1] > 0)) said.textContent = "";
  else state.darkening = setTimeout(() => (said.textContent = whyDark(state.lamps)), DARK);
}

function whyDark(lamps) {
  return lamps
    ? "The set is dark: all lamps are out. Turn the knob up; where the screen says BLACK, press Black."
    : "The set is dark: the device has no lamp yet. Push the knob to add the first one.";
}

function traced(state, { basis, lamps, width, height, pass }) {
  if (lamps !== state.lamps) return;
  state.painter.postMessage({ basis, width, height }, [basis.buffer]);
  state.pass = pass;
  ask(state);
}

// xyz: three numbers a lamp, candela.
function take(state, xyz) {
  if (state.last && xyz.length === state.last.length && xyz.every((value, i) => value === state.last[i])) return;
  state.last = xyz;
  state.lights = [];
  for (let i = 0; i < xyz.length; i += 3) state.lights.push([...xyz.subarray(i, i + 3)]);
  sayWhyDark(state);
  ask(state);
}

// Ask for a picture of how things are now; while one is being painted, the next waits.
function ask(state) {
  state.stale = true;
  if (state.busy || !state.scene) return;
  [state.stale, state.busy] = [false, true];
  const white = planck(state.camera.white);
  state.painter.postMessage({ lights: state.lights, matrix: cameraMatrix(white, asks(state.camera)) });
  lightPlan(get("#plan"), state.lights.map((xyz, i) => [
    swatch(xyz, white, 1), Math.min(xyz[1] / (state.scene.lamps[i]?.nature.peak || 2000), 1)]));
}

function painted(state, image) {
  state.busy = false;
  if (state.stale) ask(state);
  if (!image) return;
  const { picture } = state;
  if (picture.width !== image.width) [picture.width, picture.height] = [image.width, image.height];
  state.context.putImageData(image, 0, 0);
  picture.dataset.pass = state.pass;
  picture.dispatchEvent(new Event("painted"));
}

// The lux on a dome for which this camera is set. Source: ISO 2720, E = C N² / (S t); N² doubles with each stop.
function asks({ stop, iso, fps, shutter }) {
  return (DOME * 2 ** stop) / (iso * (shutter / 360 / fps));
}

function controls(state) {
  const { camera: settings } = state;
  fill("#iso", [100, 200, 400, 800, 1600, 3200, 6400], settings.iso, "");
  fill("#fps", [24, 25, 30, 48, 50, 60], settings.fps, "");
  fill("#shutter", [45, 90, 144, 172.8, 180, 270, 360], settings.shutter, "°");
  const changed = () => {
    settings.stop = Number(get("#stop").value);
    settings.white = 1e6 / Number(get("#white").value);
    for (const name of ["iso", "fps", "shutter"]) settings[name] = Number(get("#" + name).value);
    get("#stop-text").textContent = "T" + stopText(settings);
    get("#white-text").textContent = `${Math.round(settings.white / 10) * 10} K`;
    state.say({ camera: { iso: settings.iso, fps: settings.fps, shutter: settings.shutter } });
    ask(state);
  };
  for (const name of ["#stop", "#white", "#iso", "#fps", "#shutter"]) get(name).addEventListener("input", changed);
  get("#use-stop").addEventListener("click", () => {
    const { stop, cct } = state.reading || {};
    const { parts } = settings;
    if (stop) get("#stop").value = Math.max(0, Math.round(2 * parts * Math.log2(stop)) / parts);
    if (cct) get("#white").value = Math.round(1e6 / cct);
    changed();
  });
  get("#view").addEventListener("click", ({ target }) => {
    const plan = target.getAttribute("aria-pressed") !== "true";
    target.setAttribute("aria-pressed", plan);
    get("#plan").toggleAttribute("hidden", !plan);
    state.picture.hidden = plan;
    placeMark(state);
  });
  changed();
}

function fill(id, values, chosen, unit) {
  get(id).replaceChildren(...values.map((value) => new Option(value + unit, value, false, value === chosen)));
}

// Stops from 1, as people say them: the full stop below, and tenths or thirds.
function stopText({ stop, parts }) {
  const marks = Math.round(stop * parts);
  const part = marks % parts;
  return STOPS[Math.floor(marks / parts)] + (part ? ` +${part}/${parts}` : "");
}

// The camera's stops step as those of the device do: its user has chosen tenths or thirds.
function divide({ camera: settings }, parts) {
  if (parts === settings.parts) return;
  settings.parts = parts;
  get("#stop").step = 1 / parts;
  get("#stop").dispatchEvent(new Event("input"));
}

// Click or arrow keys put the meter on what is seen there; on the subject it is held out as a dome.
function pointing(state) {
  state.picture.addEventListener("click", (event) => {
    const box = state.picture.getBoundingClientRect();
    place(state, (2 * (event.clientX - box.x)) / box.width - 1, 1 - (2 * (event.clientY - box.y)) / box.height);
  });
  state.picture.addEventListener("keydown", (event) => {
    const step = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, 1], ArrowDown: [0, -1] }[event.key];
    if (!step || !state.seen) return;
    event.preventDefault();
    event.stopPropagation();
    place(state, state.seen[0] + step[0] * 0.04, state.seen[1] + step[1] * 0.06);
  });
  get("#to-mark").addEventListener("click", () => toMark(state));
}

function place(state, px, py) {
  const hit = newHit();
  const towards = viewRay(state.scene.camera, WIDTH / HEIGHT, px, py, [0, 0, 0]);
  if (!nearest(state.scene, state.scene.camera.at, towards, hit)) return;
  const name = hit.solid.name;
  get("#where").textContent = name ? name[0].toUpperCase() + name.slice(1) : "Surface";
  stand(state, { at: hit.point, normal: hit.normal, dome: false });
}

function toMark(state) {
  get("#where").textContent = "At the mark";
  stand(state, { ...state.description.mark, dome: true });
}

function stand(state, where) {
  state.where = where;
  state.seen = onPicture(state.scene.camera, WIDTH / HEIGHT, where.at);
  state.say({ meter: where });
  placeMark(state);
}

function placeMark(state) {
  const mark = get("#mark");
  mark.hidden = state.picture.hidden || !state.seen;
  if (!state.seen) return;
  mark.style.left = `${50 + 50 * state.seen[0]}%`;
  mark.style.top = `${50 - 50 * state.seen[1]}%`;
}

function meter(state, reading) {
  state.reading = reading;
  divide(state, reading.parts);
  const { lux, fc, stop_text: stop, cct, duv } = reading;
  const tint = duv === null ? "" : Math.abs(duv) < 0.0005 ? "neutral" : duv > 0 ? "green" : "magenta";
  const rows = [
    ["Light", `${digits(lux)} lux`, `${digits(fc)} fc`],
    ["Meter asks", stop === "dark" ? stop : "T" + stop, `ISO ${state.camera.iso}, ${shutterText(state.camera)}, C ${reading.constant}`],
    ["Colour", cct === null ? "—" : `${Math.round(cct / 10) * 10} K`, cct === null ? "no white" : `${Math.round(1e6 / cct)} mired`],
    ["Duv", duv === null ? "—" : (duv < 0 ? "−" : "+") + Math.abs(duv).toFixed(4), tint],
  ];
  const list = get("#light-meter");
  if (list.children.length !== rows.length) {
    list.innerHTML = rows.map(() => "<div><dt></dt><dd><span></span> <small></small></dd></div>").join("");
  }
  rows.forEach(([name, value, unit], i) => {
    const [term, said] = list.children[i].children;
    term.textContent = name;
    said.children[0].textContent = value;
    said.children[1].textContent = unit;
  });
}

function shutterText({ fps, shutter }) {
  return `1/${Math.round((fps * 360) / shutter)} s`;
}

function digits(value) {
  return value < 9.95 ? value.toFixed(1) : String(Math.round(value));
}
