// Shows of a board to a .zip and back, as host/backup.py and host/restore.py have them: JSON files, a file a look.

import { strFromU8, unzipSync, zipSync } from "./fflate.js";
import { digest } from "./files.js";
import { ask } from "./link.js";
import { Refused } from "./repl.js";

const MOST = 32_000_000; // bytes of a backup, more than any board holds

// True for a file that is the user's.
export function kept(path, facts) {
  const parts = path.split("/");
  const whole = !/[~+]$/.test(path) && (parts.length < 3 || !/[+=]$/.test(parts[1]));
  return whole && !facts.names.NOT.includes(parts[0]) && !facts.names.NOT_FILES.includes(path);
}

// All of the user's files -> {zip: bytes, words}. show(share, words) hears the progress.
export async function backup(files, facts, show) {
  const there = [...(await files.survey([""]))].filter(([path]) => kept(path, facts));
  if (!there.length) throw new Refused("There is nothing to back up on the board: no show, no settings.");
  const total = there.reduce((sum, [, { size }]) => sum + size, 1);
  const found = {};
  let done = 0;
  for (const [path, { size, digest: wanted }] of there) {
    found[path] = await files.read(path, size, (count) => show((done += count) / total, path));
    if ((await digest(found[path])) !== wanted) throw new Refused(`${path} came over differently. Try another cable.`);
  }
  const { files: json, faults } = JSON.parse(await ask("as_json", hexed(found)));
  const shows = new Set(Object.keys(json).filter((path) => path.startsWith("shows/")).map((path) => path.split("/")[1]));
  const words = `${shows.size} shows, ${Object.keys(json).length} files, all that the board has. ${faults.join(". ")}`;
  return { zip: zipSync(unhexed(json)), words };
}

// The shows of a backup: {ident: {path: bytes}}. Errors: Refused.
export function showsIn(data, facts) {
  let all;
  try {
    let size = 0;
    all = unzipSync(data, { filter: (file) => (size += file.originalSize) <= MOST && !file.name.endsWith("/") });
    if (size > MOST) throw new Error("it would unpack to more than any board holds");
  } catch (error) {
    throw new Refused(`That is no backup: ${error.message}. A backup is a .zip of shows.`);
  }
  const shows = {};
  for (const [path, bytes] of Object.entries(all)) {
    const [top, ident, ...rest] = path.split("/");
    if (top !== "shows" || !rest.length || !kept(path, facts)) continue;
    if (!/^[a-z0-9][a-z0-9-]{0,63}$/.test(ident) || !rest.every((part) => /^[A-Za-z0-9_][A-Za-z0-9_.-]*$/.test(part))) {
      throw new Refused(`The backup has ${path}, which no device makes. Nothing was changed.`);
    }
    if (path.endsWith(".json")) check(path, bytes);
    (shows[ident] ??= {})[rest.join("/")] = bytes;
  }
  if (!Object.keys(shows).length) throw new Refused("That .zip has no show in it.");
  return shows;
}

function check(path, bytes) {
  try {
    JSON.parse(strFromU8(bytes));
  } catch {
    throw new Refused(`${path} in the backup is damaged: no JSON. Nothing was changed.`);
  }
}

// Bring shows to a board -> words. question(words) -> true or false, for each that is there in another state.
export async function restore(files, there, facts, shows, question, show) {
  for (const name of await files.names("shows")) if (name.endsWith("=")) await takePlace(files, name.slice(0, -1));
  const have = [...(await files.survey([""]))];
  const brought = [];
  for (const [ident, wanted] of Object.entries(shows)) {
    const state = await compare(files, facts, ident, wanted, have);
    if (state === "same") continue;
    if (state === "other" && !(await question(`The board has ${ident} in another state. Replace it? What was changed since is lost.`))) continue;
    const log = unhexed(JSON.parse(await ask("as_log", hexed(wanted))).files);
    const staged = Object.fromEntries(Object.entries(log).map(([path, data]) => [`restore/${ident}/${path}`, data]));
    const need = Object.values(log).reduce((sum, { length }) => sum + Math.ceil(length / there.block) * there.block, 8 * there.block);
    if (need > there.free) throw new Refused(`Not enough room on the board for ${ident}: ${need} bytes are needed, ${there.free} are free.`);
    for (const [path] of have) if (path.startsWith(`restore/${ident}/`)) await files.remove(path);
    await files.folders(Object.keys(staged));
    const total = Object.values(staged).reduce((sum, { length }) => sum + length, 1);
    let done = 0;
    for (const [path, data] of Object.entries(staged)) await files.write(path, data, (count) => show((done += count) / total, path));
    await files.verify(staged);
    await files.folders(["shows/x", "trash/x"]);
    await files.move(`restore/${ident}`, `shows/${ident}=`);
    await takePlace(files, ident);
    brought.push(ident);
  }
  return brought.length ? `Brought to the board: ${brought.join(", ")}.` : "Nothing to bring: the board has these shows as they are.";
}

// "new", "same" or "other": a show on the board against one of a backup, its looks as JSON.
async function compare(files, facts, ident, wanted, have) {
  const start = `shows/${ident}/`;
  const found = {};
  for (const [path, { size }] of have) {
    if (path.startsWith(start) && kept(path, facts)) found[path.slice(start.length)] = await files.read(path, size, () => {});
  }
  if (!Object.keys(found).length) return "new";
  const [theirs, ours] = [JSON.parse(await ask("as_json", hexed(found))), JSON.parse(await ask("as_json", hexed(wanted)))];
  const sorted = ({ files: all }) => JSON.stringify(Object.entries(all).sort());
  return !theirs.faults.length && sorted(theirs) === sorted(ours) ? "same" : "other";
}

async function takePlace(files, ident) {
  if ((await files.names("shows")).includes(ident)) {
    const taken = await files.names("trash");
    let old = ident;
    for (let n = 2; taken.includes(old) || taken.includes(`${old}+`); n++) old = `${ident}-${n}`;
    await files.move(`shows/${ident}`, `trash/${old}`);
  }
  await files.move(`shows/${ident}=`, `shows/${ident}`);
}

function hexed(files) {
  const hex = (data) => Array.from(data, (byte) => byte.toString(16).padStart(2, "0")).join("");
  return JSON.stringify(Object.fromEntries(Object.entries(files).map(([path, data]) => [path, hex(data)])));
}

function unhexed(files) {
  const bytes = (hex) => Uint8Array.from(hex.match(/../g) ?? [], (pair) => parseInt(pair, 16));
  return Object.fromEntries(Object.entries(files).map(([path, hex]) => [path, bytes(hex)]));
}
