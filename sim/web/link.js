// As page/link.js, to a worker in place of a server: the same messages, and no network.

import { boardButton } from "./board.js";
import { hear, take } from "./messages.js";

const worker = new Worker(new URL("worker.js", import.meta.url), { type: "module" });
const asked = new Map();

// on: {hello, state, meter, notice, panel, frame, lights, gone}: functions. Returns say(object).
export function connect(on) {
  worker.onmessage = ({ data }) => {
    if (data instanceof ArrayBuffer) take(on, data);
    else if (typeof data === "string") hear({ ...on, failed: (why) => on.notice(failed(why), true) }, JSON.parse(data));
    else answered(data);
  };
  worker.onerror = (event) => on.notice(failed(event.message), true);
  for (const [id, verb] of [["#vcd", "vcd"], ["#script", "script"]]) {
    document.querySelector(id).addEventListener("click", (event) => download(event, verb, on));
  }
  boardButton();
  return (what) => worker.postMessage(JSON.stringify(what));
}

// Play a feed from a file -> what is wrong with it, or "".
export async function play(file) {
  return ask("play", await file.text());
}

// Ask the worker for what a function of sim/web/device.py gives.
export function ask(verb, ...words) {
  return new Promise((done, failed) => {
    const id = asked.size ? Math.max(...asked.keys()) + 1 : 1;
    asked.set(id, { done, failed });
    worker.postMessage({ ask: verb, id, words });
  });
}

function answered({ id, answer, error }) {
  const { done, failed } = asked.get(id);
  asked.delete(id);
  if (error) failed(new Error(error));
  else done(answer);
}

function failed(why) {
  return `The simulator cannot start in this browser: ${why}. A current Firefox, Chrome, Edge or Safari can run it.`;
}

async function download(event, verb, on) {
  event.preventDefault();
  const text = await ask(verb);
  if (!text) {
    on.notice("Nothing to save: no packet has ended yet");
    return;
  }
  const link = document.createElement("a");
  link.href = URL.createObjectURL(new Blob([text], { type: "text/plain" }));
  link.download = event.target.getAttribute("download");
  link.click();
  URL.revokeObjectURL(link.href);
}
