// The line: slots by fixture, all 512 of each port that sends as bars, one packet's waveform, and its times against the standard.

const get = (id) => document.querySelector(id);

export function line() {
  const state = { cells: [], shown: new Uint8Array(512) };
  return {
    fixtures: (list) => fixtures(state, list),
    frame: (slots) => frame(state, slots),
    lamps: (colours) => colours.forEach((colour, i) => { if (state.dots?.[i]) state.dots[i].style.background = colour; }),
    measured,
  };
}

// list: {name, address, channels} in the order of the rig.
function fixtures(state, list) {
  state.cells = [];
  state.dots = [];
  get("#fixtures").replaceChildren(...list.map((fixture) => card(state, fixture)));
  if (!list.length) get("#fixtures").textContent = "No fixture is patched yet.";
  frame(state, state.shown);
}

function card(state, { name, address, channels }) {
  const box = document.createElement("div");
  box.className = "fixture";
  box.setAttribute("role", "listitem");
  box.innerHTML = "<h3><i></i><span></span><small></small></h3><div class=row></div>";
  state.dots.push(box.querySelector("i"));
  box.querySelector("span").textContent = name;
  const used = Math.max(...channels.flatMap(([, coarse, fine]) => [coarse, fine]));
  const last = (address - 1) % 512 + 1 + used;
  box.querySelector("small").textContent = used ? `${words(address)}–${last}` : words(address);
  box.setAttribute("aria-label", `${name}, slots from ${words(address)}`);
  for (const [does, coarse, fine] of channels) {
    slot(state, box.lastChild, address + coarse, does);
    if (fine >= 0) slot(state, box.lastChild, address + fine, "fine");
  }
  return box;
}

// An address as the device has it in words: "101", in the second universe "2.101".
function words(address) {
  return address > 512 ? `2.${address - 512}` : `${address}`;
}

function slot(state, row, number, does) {
  const cell = document.createElement("div");
  cell.className = "slot";
  cell.title = `Slot ${words(number)}: ${does}`;
  cell.dataset.slot = number;
  cell.innerHTML = "<span></span><b></b><em></em>";
  cell.lastChild.textContent = does;
  row.append(cell);
  state.cells.push({ number, bar: cell.children[0].style, text: cell.children[1], value: -1 });
}

// slots: the bytes of the last whole packets of the ports that send.
function frame(state, slots) {
  state.shown = slots;
  for (const cell of state.cells) {
    const value = slots[cell.number - 1] ?? 0; // the port of that lamp may not send
    if (value === cell.value) continue;
    cell.value = value;
    cell.text.textContent = value;
    cell.bar.setProperty("--share", value / 255);
  }
  bars(slots);
}

function bars(slots) {
  const canvas = get("#slots");
  const context = canvas.getContext("2d");
  context.clearRect(0, 0, canvas.width, canvas.height);
  const wide = canvas.width / slots.length;
  context.fillStyle = "#2a231d";
  for (let i = 0; i < slots.length; i += 32) context.fillRect(i * wide, 0, i === 512 ? 3 : 1, canvas.height);
  context.fillStyle = "#d9c5a6";
  for (let i = 0; i < slots.length; i++) {
    const tall = Math.ceil((slots[i] / 255) * canvas.height);
    if (tall) context.fillRect(i * wide, canvas.height - tall, wide, tall);
  }
}

// What the server measured on the edges of the last packet; see sim/scope.py.
function measured({ rows, wave, sum }) {
  get("#line-sum").textContent = sum;
  get("#limits tbody").replaceChildren(...rows.map(([what, value, limit, fits]) => {
    const row = document.createElement("tr");
    row.className = fits ? "" : "outside";
    row.append(...[what, value, limit, fits ? "inside" : "OUTSIDE"].map((text) => {
      const cell = document.createElement("td");
      cell.textContent = text;
      return cell;
    }));
    return row;
  }));
  waveform(get("#wave"), wave);
}

// wave: {edges: [[µs, level]], marks: [[from, to, name]], end}: drawn to scale in time, in pixels of the page.
function waveform(svg, wave) {
  const width = svg.clientWidth;
  svg.setAttribute("viewBox", `0 0 ${width} 160`);
  if (!wave || !wave.edges.length) {
    svg.innerHTML = '<text x="20" y="80">The line is silent.</text>';
    return;
  }
  const x = (us) => (12 + ((width - 24) * us) / wave.end).toFixed(1);
  const y = (level) => (level ? 52 : 112);
  let path = `M0 ${y(1)}`;
  let level = 1;
  for (const [us, next] of wave.edges) {
    path += `H${x(us)}V${y(next)}`;
    level = next;
  }
  path += `H${x(wave.end)}`;
  const names = wave.marks.map(([from, to, name], i) => {
    const middle = (Number(x(from)) + Number(x(to))) / 2;
    return `<path d="M${x(from)} 30V134" class="tick"/><text x="${middle}" y="${i % 2 ? 150 : 22}">${name}</text>`;
  });
  svg.innerHTML = `<path d="${path}" class="level"/>${names.join("")}`;
}
