// The page's beginning: hands what the server says to the parts, and what the hand does to the server.

import { encode, planck, swatch } from "./colour.js";
import { device } from "./device.js";
import { firstSteps } from "./first.js";
import { line } from "./line.js";
import { connect, play } from "./link.js";
import { set } from "./set.js";


const get = (id) => document.querySelector(id);
const parts = {};
const say = connect({ hello, state, notice, panel, frame, lights, gone, meter, trimmed, tones });
const first = firstSteps(get("#first"));
parts.device = device((what) => {
  say(what);
  first.did(what);
});
parts.set = set(say);
parts.line = line();
controls();

function hello(message) {
  choose("#board", message.boards, message.board);
  choose("#show", message.shows, message.show);
  choose("#machine", message.machines, message.machine);
  choose("#feed", message.feeds, message.feed);
  parts.device.show(message);
  parts.line.fixtures(message.fixtures);
  parts.set.show(message.set);
  const names = message.fixtures.map(({ name }) => name);
  choose("#lamp", [["", "all lamps", true], ...names], get("#lamp").value);
  begun(message.started);
  get("#onlooker").hidden = message.hand;
  first.show(message.hand && names.length > 0);
}

// Another session: what was said about the one before is not true of it.
function begun(started) {
  if (document.body.dataset.started === String(started)) return;
  document.body.dataset.started = started;
  notice("");
  trimmed("");
  spoken([]);
}

// values: strings, or [value, text, usable].
function choose(id, values, chosen) {
  get(id).replaceChildren(...values.map((entry) => {
    const [value, text, usable] = Array.isArray(entry) ? entry : [entry, entry, true];
    const option = new Option(text, value, false, value === chosen);
    option.disabled = !usable;
    return option;
  }));
}

function state(now) {
  const seconds = now.ms / 1000;
  get("#clock").textContent = `${Math.floor(seconds / 60)}:${(seconds % 60).toFixed(1).padStart(4, "0")}`;
  for (const button of document.querySelectorAll("[data-speed]")) {
    button.setAttribute("aria-pressed", Number(button.dataset.speed) === now.speed);
  }
  get("#plug").textContent = now.power ? "Pull the plug" : "Put it back";
  get("#plug").dataset.does = now.power ? "cut" : "boot";
  get("#led").className = now.power ? "on" : "";
  get("#led").textContent = now.power ? "on" : "no power";
  get("#panel").style.opacity = Math.max(0.3, encode(Math.min(now.light / 100, 1)));
  get("#vitals").textContent = now.vitals;
  get("#trouble").hidden = !now.trouble;
  get("#traceback").textContent = now.trouble || "";
  get("#feed-text").textContent = now.feed;
  get("#script-text").textContent = now.script;
  spoken(now.lines);
  parts.line.measured(now.line);
}

function spoken(lines) {
  const text = lines.join("\n");
  if (get("#screen-text").textContent !== text) get("#screen-text").textContent = text;
}

function panel(top, width, rgb) {
  parts.device.panel.draw(top, width, rgb);
}

function meter(reading) {
  parts.set.meter(reading);
}

let audio = null;

// The buzzer, if one wants to hear it.
function tones(list) {
  if (!get("#sound").checked) return;
  audio ??= new AudioContext();
  let at = audio.currentTime;
  for (const [hz, ms] of list) {
    const [tone, volume] = [audio.createOscillator(), audio.createGain()];
    [tone.type, tone.frequency.value, volume.gain.value] = ["square", hz, 0.04];
    tone.connect(volume).connect(audio.destination);
    tone.start(at);
    tone.stop((at += ms / 1000));
  }
}

function trimmed(text) {
  get("#trimmed").textContent = text;
}

// The lamp in the list, or all that are in it.
function chosenLamps() {
  const list = get("#lamp");
  return list.value ? [list.value] : [...list.options].map(({ value }) => value).filter(Boolean);
}

function frame(slots) {
  parts.line.frame(slots);
}

const WHITE = planck(5600);

function lights(xyz) {
  parts.set.lights(xyz);
  const colours = [];
  for (let i = 0; i < xyz.length; i += 3) colours.push(swatch([...xyz.subarray(i, i + 3)], WHITE, 1));
  parts.line.lamps(colours);
}

// Said for some seconds, or until the next.
function notice(text, lasting = false) {
  const bar = get("#notice");
  clearTimeout(bar.timer);
  bar.textContent = text;
  bar.hidden = !text;
  if (!lasting) bar.timer = setTimeout(() => (bar.hidden = true), 6000);
}

function gone() {
  notice("The simulator has stopped. This page comes back by itself when it runs again (halfstop sim).", true);
}

function controls() {
  for (const id of ["board", "show", "machine"]) {
    get("#" + id).addEventListener("change", ({ target }) => say({ session: { [id]: target.value } }));
  }
  for (const button of document.querySelectorAll("[data-speed]")) {
    button.addEventListener("click", () => say({ speed: Number(button.dataset.speed) }));
  }
  get("#restart").addEventListener("click", () => say({ restart: true }));
  get("#step").addEventListener("click", () => say({ step: 1 }));
  get("#plug").addEventListener("click", ({ target }) => say({ power: target.dataset.does }));
  get("#feed").addEventListener("change", ({ target }) => say({ feed: target.value }));
  get("#feed-file").addEventListener("change", ({ target }) => send(target.files[0]));
  for (const [id, keep] of [["#trim", true], ["#untrim", false]]) {
    get(id).addEventListener("click", () => say({ trim: { names: chosenLamps(), keep } }));
  }
  get("#take").addEventListener("click", () => say({ take: true }));
  get("#seen").addEventListener("click", () => say({ seen: true }));
  get("#fresh").addEventListener("click", () => say({ session: {} }));
}

async function send(file) {
  if (!file) return;
  const wrong = await play(file);
  if (wrong) notice(wrong);
  get("#feed-file").value = ""; // so that the same file can be chosen again
}
