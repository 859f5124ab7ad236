// The files on a board by the same small programs that host/remote.py runs there (board.json has them).

import { Refused } from "./repl.js";

const CHUNK = 2048; // bytes a step
const SYNC = 32768; // bytes after which what was written is synced

// A value as Python writes it.
function python(value) {
  if (Array.isArray(value)) return `(${value.map((one) => `${python(one)},`).join("")})`;
  return JSON.stringify(value);
}

function filled(template, ...values) {
  return template.replace(/%[rd]/g, () => python(values.shift()));
}

export async function digest(data) {
  const found = new Uint8Array(await crypto.subtle.digest("SHA-256", data));
  return [...found].map((byte) => byte.toString(16).padStart(2, "0")).join("");
}

export class Files {
  // scripts: {survey, list, mkdir, open, read, move, remove, remove_folders}.
  constructor(repl, scripts) {
    this.repl = repl;
    this.scripts = scripts;
  }

  do(name, ...values) {
    return this.repl.exec(filled(this.scripts[name], ...values));
  }

  // Files at and under paths ("" is the root): Map of path to {size, digest}.
  async survey(paths) {
    const rows = (await this.do("survey", paths)).split(/\r?\n/).filter(Boolean);
    return new Map(rows.map((row) => {
      const [, path, size, hash] = row.match(/^(.*) (\d+) (\w+)$/s);
      return [path, { size: Number(size), digest: hash }];
    }));
  }

  async names(folder) {
    return [...(await this.do("list", folder)).matchAll(/'([^']*)'/g)].map(([, name]) => name);
  }

  folders(paths) {
    const found = new Set();
    for (const path of paths) {
      const parts = path.split("/");
      for (let n = 1; n < parts.length; n++) found.add(parts.slice(0, n).join("/"));
    }
    return this.do("mkdir", [...found].sort());
  }

  // Write a file, or go on from byte `at` with one that has these. show(bytes, path) hears the progress.
  async write(path, data, show, at = 0) {
    await this.do("open", path, at ? "ab" : "wb");
    for (let begin = at; begin < data.length; begin += CHUNK) {
      const chunk = data.subarray(begin, begin + CHUNK);
      await this.repl.exec(`_w(${python(btoa(String.fromCharCode(...chunk)))})`);
      if ((begin + CHUNK) % SYNC === 0) await this.repl.exec("_f.flush()");
      show(chunk.length, path);
    }
    await this.repl.exec("_f.close()");
  }

  async read(path, size, show) {
    await this.do("read", path, CHUNK);
    const out = new Uint8Array(size);
    let at = 0;
    while (at < size) {
      const part = atob((await this.repl.exec("_r()")).trim());
      if (!part) break;
      for (let n = 0; n < part.length; n++) out[at + n] = part.charCodeAt(n);
      at += part.length;
      show(part.length, path);
    }
    await this.repl.exec("_f.close()");
    return out;
  }

  // Have the board compute the SHA-256 of files: {path: bytes}. Errors: Refused, naming those that differ.
  async verify(wanted) {
    const there = await this.survey(Object.keys(wanted));
    const wrong = [];
    for (const [path, data] of Object.entries(wanted)) {
      if (there.get(path)?.digest !== (await digest(data))) wrong.push(path);
    }
    if (wrong.length) {
      throw new Refused(`After copying, these differ on the board: ${wrong.join(", ")}. Try again; if it happens again, `
        + "the board's flash is worn out or faulty.");
    }
  }

  move(old, now) {
    return this.do("move", old, now);
  }

  remove(path) {
    return this.do("remove", path);
  }
}
