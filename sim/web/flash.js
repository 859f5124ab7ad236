// Put the firmware on a board, in the steps of host/flash.py: after each of them it starts the old one or the new one.

import { digest, Files } from "./files.js";
import { Refused, Repl } from "./repl.js";

const HELLO = 20_000; // ms
const SETTLE = 2_000; // ms after the hello in which a crash would begin to show
const PROMPT = ">>> ";

// Open a port, run act(files, who, repl), close it. facts: board.json. Errors: Refused.
export async function withBoard(port, facts, act) {
  const repl = new Repl(port);
  try {
    await repl.open(facts.install);
    await repl.exec(facts.scripts.keep_awake);
    await repl.exec(facts.scripts.let_go);
    return await act(new Files(repl, facts.scripts), await who(repl, facts), repl);
  } finally {
    if (repl.reader) await repl.close();
  }
}

async function who(repl, facts) {
  const told = JSON.parse(await repl.exec(facts.scripts.who));
  const [name, version, machine, mpy, block, free, main, board] = told;
  if (name !== "micropython") throw new Refused(`The board runs ${name}, not MicroPython.\n${facts.install}`);
  const [major, minor] = version;
  if (major < facts.oldest[0] || (major === facts.oldest[0] && minor < facts.oldest[1])) {
    throw new Refused(`The board's MicroPython is ${version.join(".")}; Halfstop needs ${facts.oldest.join(".")} or newer.\n`
      + facts.install);
  }
  const chip = ["rp2040", "rp2350", "esp32s3"].find((one) => machine.toLowerCase().includes(one)) ?? "";
  return { version: version.join("."), machine, mpy: mpy & 255, block, free, main, board, chip };
}

// Names of the boards that this can be; the one that it was before alone. Errors: Refused: none of ours.
export function fitting(there, facts) {
  const fits = Object.keys(facts.boards).filter((name) => facts.boards[name].chip === there.chip);
  if (!fits.length) throw new Refused(`This board is a ${there.machine}; Halfstop runs on RP2040, RP2350 and ESP32-S3.`);
  if (fits.includes(there.board)) return [there.board];
  // Of two with one chip, the name of MicroPython's image tells which has Wi-Fi.
  const alike = fits.filter((name) => facts.boards[name].wifi === there.machine.includes(" W "));
  return alike.length ? alike : fits;
}

// Bring board `name` up to date -> words. firmware: {path: bytes}; ask(question) -> true or false; show(share, words).
export async function flash(files, there, repl, facts, name, firmware, ask, show) {
  const foreign = there.main && !there.main.toLowerCase().includes("halfstop");
  if (foreign && !(await ask("The board has a main.py that is not Halfstop's. Replace it?"))) {
    throw new Refused("Left as it was: nothing was changed.");
  }
  const { FILE, NEW, OLD } = facts.names;
  const archive = firmware[FILE];
  if (archive[1] !== there.mpy && archive[0] === 77) {
    throw new Refused(`The board's MicroPython reads .mpy version ${there.mpy}, and this firmware is version ${archive[1]}. `
      + `Put the newest MicroPython on it.\n${facts.install}`);
  }
  const have = await files.survey([FILE, NEW, OLD, "main.py", "main.new", ...facts.names.LOOSE]);
  const same = async (path) => have.get(path)?.digest === (await digest(firmware[path]));
  const [current, started] = [await same(FILE), await same("main.py")];
  if (!current) await archiveTo(files, have, there, facts, archive, show);
  if (!started) await mainTo(files, firmware["main.py"]);
  for (const path of have.keys()) {
    if (facts.names.LOOSE.includes(path.split("/")[0]) || path === "main.new") await files.remove(path).catch(() => {});
  }
  await files.do("remove_folders", facts.names.OURS);
  await repl.start();
  show(1, "starting");
  return `${current && started ? "It was up to date" : "Copied and checked"}: halfstop ${await hello(repl, name)} runs on ${name}.`;
}

async function archiveTo(files, have, there, facts, archive, show) {
  const { FILE, NEW, OLD } = facts.names;
  const half = have.get(NEW);
  let begun = 0;
  if (half && half.digest === (await digest(archive.subarray(0, half.size)))) begun = half.size;
  else if (half) await files.remove(NEW);
  const size = Math.ceil((archive.length - begun) * (1 + 1 / 512) / there.block + 1) * there.block;
  const free = there.free + (half && !begun ? half.size : 0);
  if (size > free) {
    throw new Refused(`Not enough room on the board: ${size - free} bytes more are needed. Back up and delete shows or `
      + "captures on the device (page Settings), or use halfstop flash, which can do without room for two versions. Nothing was changed.");
  }
  let done = begun;
  await files.write(NEW, archive, (count) => {
    done += count;
    show(done / archive.length, `${done} of ${archive.length} bytes`);
  }, begun);
  await files.verify({ [NEW]: archive });
  if (have.has(FILE) && !have.has(OLD)) await files.move(FILE, OLD);
  await files.move(NEW, FILE);
}

async function mainTo(files, data) {
  await files.write("main.new", data, () => {});
  await files.verify({ "main.new": data });
  await files.move("main.new", "main.py");
}

// Wait for "halfstop VERSION BOARD" -> VERSION; of a crash, for all of its words. Errors: Refused with what it said.
async function hello(repl, name) {
  const line = new RegExp(`^halfstop (\\S+) ${name}\\r?$`, "m");
  let end = performance.now() + HELLO;
  let found = null;
  while (performance.now() < end) {
    if (!found && (found = repl.said.match(line))) end = performance.now() + SETTLE;
    if (repl.said.includes("Traceback") && repl.said.endsWith(PROMPT)) break;
    if (repl.gone) break;
    await new Promise((done) => setTimeout(done, 50));
  }
  if (found && !repl.said.includes("Traceback")) return found[1];
  const said = repl.said.trim().split(/\r?\n/).slice(-15).join("\n") || "(nothing)";
  throw new Refused(`All files are on the board, but ${repl.said.includes("Traceback") ? "it crashed" : "no hello came"}. `
    + `It said:\n${said}\nPress its reset button; if that does not help, put it on again.`);
}
