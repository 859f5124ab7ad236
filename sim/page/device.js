// The device: its panel's pixels, its knob and its keys. Knows nothing of what they mean.

const DETENT = 18; // degrees of the drawn knob; twenty detents a turn
const STILL = 160; // ms a finger rests on the knob before it counts as holding it down
const SHORT = 80; // ms that a short push lasts at least, longer than a key's debounce
const WHEEL = 40; // pixels of wheel for a detent where the wheel counts in pixels
const LETTERS = { back: "Backspace", look: "l", black: "b", foot: "f" };
const NAMES = { foot: "Foot switch" };

// say(object) sends to the server.
export function device(say) {
  const panel = newPanel(document.querySelector("#panel"));
  const knob = newKnob(document.querySelector("#knob"), say);
  const keys = newKeys(document.querySelector("#keys"), say);
  keyboard(knob, keys);
  return { panel, show: (hello) => show(hello, panel, keys) };
}

function show(hello, panel, keys) {
  document.querySelector("#board-name").textContent = `${hello.board} · ${hello.chip}`;
  panel.size(hello.panel.width, hello.panel.height);
  keys.make(hello.keys.filter((name) => name !== "push"));
}

function newPanel(canvas) {
  const context = canvas.getContext("2d", { alpha: false });
  const size = (width, height) => {
    if (canvas.width !== width || canvas.height !== height) {
      canvas.width = width;
      canvas.height = height;
    }
    fit(canvas);
  };
  addEventListener("resize", () => fit(canvas));
  return { size, draw: (top, width, rgb) => drawRows(canvas, context, top, width, rgb), canvas };
}

// The two steps of style.css: one column, and a phone's.
function layout() {
  return { narrow: matchMedia("(max-width: 52rem)").matches, single: matchMedia("(max-width: 77rem)").matches };
}

// Whole numbers of the screen's own dots for each panel dot, as many as fit.
function fit(canvas) {
  const { narrow, single } = layout();
  const across = narrow ? innerWidth - 56 : innerWidth - (single ? 280 : 592);
  const down = narrow ? innerHeight * 0.6 : Math.max(innerHeight - 250, 480);
  const most = Math.min(across / canvas.width, down / canvas.height, canvas.width < 200 ? 5 : 3);
  const dots = devicePixelRatio;
  const scale = Math.max(Math.floor(most * dots), 1) / dots;
  canvas.style.width = `${canvas.width * scale}px`;
  canvas.style.height = `${canvas.height * scale}px`;
}

function drawRows(canvas, context, top, width, rgb) {
  const rows = rgb.length / (3 * width);
  const image = context.createImageData(width, rows);
  const out = image.data;
  for (let i = 0, k = 0; i < rgb.length; i += 3, k += 4) {
    out[k] = rgb[i];
    out[k + 1] = rgb[i + 1];
    out[k + 2] = rgb[i + 2];
    out[k + 3] = 255;
  }
  context.putImageData(image, 0, top);
  canvas.dispatchEvent(new Event("painted"));
}

function newKnob(element, say) {
  let detents = 0;
  const turn = (n) => {
    detents += n;
    element.style.setProperty("--turned", `${detents * DETENT}deg`);
    element.setAttribute("aria-valuenow", detents);
    element.setAttribute("aria-valuetext", `${detents} detents`);
    say({ turn: n });
  };
  const push = held((down) => {
    element.classList.toggle("down", down);
    say({ [down ? "down" : "up"]: "push" });
  });
  wheel(element, turn);
  wheel(document.querySelector("#panel"), turn);
  drag(element, turn, push);
  return { turn, push, element };
}

// A switch that says each change once, whoever asks for it, and stays down long enough to be noticed.
function held(change) {
  let since = null;
  let timer = 0;
  const release = () => {
    since = null;
    change(false);
  };
  return (down) => {
    clearTimeout(timer);
    if (down && since === null) {
      since = performance.now();
      change(true);
    } else if (!down && since !== null) {
      const left = SHORT - (performance.now() - since);
      if (left > 0) timer = setTimeout(release, left);
      else release();
    }
  };
}

function wheel(element, turn) {
  let gathered = 0;
  element.addEventListener("wheel", (event) => {
    event.preventDefault();
    const pixels = event.deltaMode === WheelEvent.DOM_DELTA_PIXEL;
    const notch = pixels && Math.abs(event.deltaY) < 100 ? WHEEL : pixels ? 100 : 1;
    gathered -= (event.deltaY || event.deltaX) / notch;
    const n = Math.trunc(gathered + Math.sign(gathered) * 1e-9);
    gathered -= n;
    if (n) turn(n);
  }, { passive: false });
}

// Dragging around the middle turns. A press that stays where it is pushes: a short one on release, a long one holds.
function drag(element, turn, push) {
  const press = { last: null, moved: 0, timer: 0 };
  element.addEventListener("pointerdown", (event) => {
    element.setPointerCapture(event.pointerId);
    element.focus({ preventScroll: true });
    Object.assign(press, { last: angle(element, event), moved: 0, timer: setTimeout(push, STILL, true) });
  });
  element.addEventListener("pointermove", (event) => {
    if (press.last === null) return;
    const now = angle(element, event);
    press.moved += ((now - press.last + 540) % 360) - 180;
    press.last = now;
    const n = Math.trunc(press.moved / DETENT);
    if (n === 0) return;
    clearTimeout(press.timer);
    press.timer = null;
    press.moved -= n * DETENT;
    turn(n);
  });
  const end = () => {
    if (press.last === null) return;
    clearTimeout(press.timer);
    press.last = null;
    if (press.timer !== null) push(true);
    push(false);
  };
  for (const name of ["pointerup", "pointercancel"]) element.addEventListener(name, end);
}

function angle(element, event) {
  const box = element.getBoundingClientRect();
  return (Math.atan2(event.clientY - box.y - box.height / 2, event.clientX - box.x - box.width / 2) * 180) / Math.PI;
}

function newKeys(group, say) {
  const pressed = {};
  const make = (names) => {
    const same = Object.keys(pressed).join() === names.join();
    if (same) return;
    for (const name of Object.keys(pressed)) delete pressed[name];
    group.replaceChildren(...names.map((name) => {
      const [button, push] = newKey(name, say);
      pressed[name] = push;
      return button;
    }));
  };
  return { make, pressed };
}

function newKey(name, say) {
  const button = document.createElement("button");
  const letter = LETTERS[name];
  button.type = "button";
  button.dataset.key = name;
  button.innerHTML = "<span></span>" + (letter ? "<kbd></kbd>" : "");
  button.firstChild.textContent = NAMES[name] || name[0].toUpperCase() + name.slice(1);
  if (letter) button.lastChild.textContent = letter.length > 1 ? "⌫" : letter.toUpperCase();
  button.setAttribute("aria-label", `${name} key`);
  const push = held((down) => {
    button.classList.toggle("down", down);
    say({ [down ? "down" : "up"]: name });
  });
  button.addEventListener("pointerdown", (event) => {
    button.setPointerCapture(event.pointerId);
    push(true);
  });
  for (const end of ["pointerup", "pointercancel", "blur"]) button.addEventListener(end, () => push(false));
  button.addEventListener("keydown", (event) => act(event, () => push(true)));
  button.addEventListener("keyup", (event) => act(event, () => push(false)));
  button.addEventListener("contextmenu", (event) => event.preventDefault());
  return [button, push];
}

function act(event, does) {
  if (event.key !== " " && event.key !== "Enter") return;
  event.preventDefault();
  event.stopPropagation();
  does();
}

// Arrows turn, space pushes, letters press keys, unless something else on the page takes that key.
function keyboard(knob, keys) {
  const turns = { ArrowUp: 1, ArrowRight: 1, ArrowDown: -1, ArrowLeft: -1 };
  const named = (event) => Object.keys(keys.pressed).find((name) => LETTERS[name] === event.key);
  const elsewhere = (event) => event.ctrlKey || event.metaKey || event.altKey
    || event.target.closest("input, select")
    || ((event.key === " " || event.key === "Enter") && event.target.closest("button, a, summary"));
  addEventListener("keydown", (event) => {
    if (elsewhere(event)) return;
    const n = turns[event.key];
    if (n) knob.turn(n * (event.shiftKey ? 5 : 1));
    else if (event.key === " " || event.key === "Enter") knob.push(true);
    else if (named(event)) keys.pressed[named(event)](true);
    else return;
    event.preventDefault();
  });
  addEventListener("keyup", (event) => {
    if (event.key === " " || event.key === "Enter") knob.push(false);
    const name = named(event);
    if (name) keys.pressed[name](false);
  });
  addEventListener("blur", () => {
    knob.push(false);
    for (const push of Object.values(keys.pressed)) push(false);
  });
}
