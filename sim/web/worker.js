// The device in a worker: MicroPython runs the firmware, the lamps and the meters; this keeps time, and the files
// between visits. Messages of the page: text of its own (sim/talk.py), or {ask, id, ...}, which is answered.

import { loadMicroPython } from "./micropython.mjs";

const TICK = 8; // ms between two steps of the session
const KEEP = 1000; // ms between two looks at what is to be kept
const HEAP = 16 << 20; // bytes; what one call makes is collected only after it
const first = { board: "pico2_tft", show: "demo", files: null };
const waiting = [];
let device = null;

onmessage = ({ data }) => {
  if (device) act(data);
  else waiting.push(data);
};
start().catch((error) => {
  postMessage(JSON.stringify({ failed: String(error) }));
});

async function start() {
  const [vm, sources, kept] = await Promise.all([
    loadMicroPython({ url: new URL("micropython.wasm", import.meta.url).href, heapsize: HEAP, linebuffer: true }),
    fetch("python.json").then((answer) => answer.json()),
    store("readonly", (files) => files.get("device")).catch(() => null),
  ]);
  for (const [name, text] of Object.entries(sources)) {
    vm.FS.mkdirTree("/tree/" + name.replace(/[^/]*$/, ""));
    vm.FS.writeFile("/tree/" + name, text);
  }
  vm.runPython("import gc, sys\nsys.path.insert(0, '/tree')\nfrom sim.web import device");
  vm.runPython("gc.collect()");
  device = begin(vm, kept ?? JSON.stringify(first));
  device.collect();
  for (const message of waiting.splice(0)) act(message);
  let last = performance.now();
  const step = () => {
    const now = performance.now();
    send(device.tick((now - last) / 1000));
    last = now;
    setTimeout(step, TICK);
  };
  step();
  setInterval(keep, KEEP);
}

// The worker of sim/web/device.py. Where what was kept does not start, a new device does.
function begin(vm, kept) {
  const make = vm.globals.get("device").Worker;
  let worker;
  try {
    worker = make(kept);
  } catch (error) {
    worker = make(JSON.stringify(first));
    postMessage(JSON.stringify({ notice: `What was kept from the last visit does not start: ${error.message}` }));
  }
  const verbs = ["hear", "tick", "changed", "vcd", "script", "play"];
  const bound = Object.fromEntries(verbs.map((verb) => [verb, (...words) => worker[verb](...words)]));
  bound.binary = () => vm.FS.readFile("/out");
  bound.collect = () => vm.runPython("gc.collect()");
  bound.as_json = (files) => vm.globals.get("device").as_json(files);
  bound.as_log = (files) => vm.globals.get("device").as_log(files);
  bound.run = (board, text) => vm.globals.get("device").run_script(board, text);
  return bound;
}

function act(data) {
  if (typeof data === "string") {
    device.hear(data);
    send(device.tick(0));
    return;
  }
  const { ask, id, words } = data;
  try {
    postMessage({ id, answer: device[ask](...words) });
  } catch (error) {
    postMessage({ id, error: error.message });
  }
}

function send(text) {
  if (!text) return;
  let at = 0;
  let binary = null;
  for (const message of JSON.parse(text)) {
    if (typeof message === "object") {
      postMessage(JSON.stringify(message));
    } else {
      binary ??= device.binary();
      const bytes = binary.slice(at, (at += message)).buffer;
      postMessage(bytes, [bytes]);
    }
  }
}

function keep() {
  const changed = device.changed();
  if (changed) store("readwrite", (files) => files.put(changed, "device")).catch(() => {});
}

// One request to the browser's database -> its result.
async function store(mode, act) {
  const database = await new Promise((done, failed) => {
    const opening = indexedDB.open("halfstop", 1);
    opening.onupgradeneeded = () => opening.result.createObjectStore("files");
    opening.onsuccess = () => done(opening.result);
    opening.onerror = () => failed(opening.error);
  });
  try {
    return await new Promise((done, failed) => {
      const transaction = database.transaction("files", mode);
      const request = act(transaction.objectStore("files"));
      transaction.oncomplete = () => done(request.result);
      transaction.onerror = transaction.onabort = () => failed(transaction.error);
    });
  } finally {
    database.close();
  }
}
