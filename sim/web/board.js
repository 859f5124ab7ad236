// "Put it on a board": the dialog that flashes a board and carries its shows, by Web Serial.

import { fitting, flash, withBoard } from "./flash.js";
import { backup, restore, showsIn } from "./shows.js";

const MISSING = `This browser cannot talk to a board: it has no Web Serial. Chrome, Edge and Opera on a computer have it, on a
page from https:// or from localhost. Without it: pip install halfstop, then halfstop flash.`;
const HTML = `<h2>Put it on a board</h2>
  <p>Plug the board in by USB. MicroPython must be on it already; shows stay as they are.</p>
  <p class="choices"><button type="button" data-does="flash">Put the firmware on it</button>
  <button type="button" data-does="backup">Back up its shows</button>
  <label class="button">Bring shows back <input type="file" accept=".zip" class="unseen" data-does="restore"></label></p>
  <p class="choices" data-part="question" hidden><span></span> <select></select> <button type="button">Yes</button>
  <button type="button">No</button></p>
  <progress max="1" value="0" hidden></progress>
  <pre role="status" tabindex="0"></pre>
  <form method="dialog"><button>Close</button></form>`;

// Add the button to the page's head.
export function boardButton() {
  const button = document.createElement("button");
  button.type = "button";
  button.id = "to-board";
  button.textContent = "Put it on a board";
  document.querySelector("header .choices").append(button);
  const dialog = document.createElement("dialog");
  dialog.id = "board-dialog";
  dialog.innerHTML = HTML;
  document.body.append(dialog);
  // Keys in the dialog are not the device's.
  for (const kind of ["keydown", "keyup"]) dialog.addEventListener(kind, (event) => event.stopPropagation());
  button.addEventListener("click", () => {
    say(dialog, navigator.serial ? "" : MISSING);
    for (const one of dialog.querySelectorAll("[data-does]")) one.disabled = !navigator.serial;
    dialog.showModal();
  });
  for (const verb of ["flash", "backup"]) {
    dialog.querySelector(`[data-does="${verb}"]`).addEventListener("click", () => run(dialog, VERBS[verb]));
  }
  dialog.querySelector('[data-does="restore"]').addEventListener("change", ({ target }) => {
    const [file] = target.files;
    if (file) run(dialog, (...words) => VERBS.restore(file, ...words));
    target.value = "";
  });
}

const VERBS = {
  flash: async (files, there, repl, facts, dialog) => {
    const names = fitting(there, facts);
    const name = names.length > 1 ? await question(dialog, "Which board is it wired as?", names) : names[0];
    if (!name) return "Left as it was: nothing was changed.";
    const { files: paths } = facts.boards[name];
    const firmware = {};
    for (const path of paths) {
      const answer = await fetch(`firmware/${name}/${path}`);
      if (!answer.ok) throw new Error(`the firmware for ${name} is not here: ${answer.status}`);
      firmware[path] = new Uint8Array(await answer.arrayBuffer());
    }
    return flash(files, there, repl, facts, name, firmware, (words) => question(dialog, words), progress(dialog));
  },
  backup: async (files, there, repl, facts, dialog) => {
    const { zip, words } = await backup(files, facts, progress(dialog));
    await repl.start();
    const link = document.createElement("a");
    link.href = URL.createObjectURL(new Blob([zip], { type: "application/zip" }));
    link.download = `halfstop-${new Date().toISOString().slice(0, 10)}.zip`;
    link.click();
    return `${link.download}: ${words}`;
  },
  restore: async (file, files, there, repl, facts, dialog) => {
    const shows = showsIn(new Uint8Array(await file.arrayBuffer()), facts);
    const words = await restore(files, there, facts, shows, (text) => question(dialog, text), progress(dialog));
    await repl.start();
    return words;
  },
};

// Let one verb work with a board that the user chooses, and say how it ended.
async function run(dialog, verb) {
  const buttons = dialog.querySelectorAll("[data-does], form button");
  for (const one of buttons) one.disabled = true;
  say(dialog, "");
  try {
    const port = await navigator.serial.requestPort();
    const facts = await (await fetch("board.json")).json();
    const words = await withBoard(port, facts, (files, there, repl) => {
      say(dialog, `${there.machine}, MicroPython ${there.version}`);
      return verb(files, there, repl, facts, dialog);
    });
    say(dialog, words);
  } catch (error) {
    say(dialog, error.name === "NotFoundError" ? "No port was chosen." : error.message);
  } finally {
    dialog.querySelector("progress").hidden = true;
    for (const one of buttons) one.disabled = false;
  }
}

function say(dialog, words) {
  dialog.querySelector("pre").textContent = words;
}

function progress(dialog) {
  const bar = dialog.querySelector("progress");
  return (share, words) => {
    bar.hidden = false;
    bar.value = share;
    say(dialog, words);
  };
}

// Ask -> true or false; with choices, the one chosen, or null.
function question(dialog, words, choices = null) {
  const part = dialog.querySelector('[data-part="question"]');
  const [list, yes, no] = [part.querySelector("select"), ...part.querySelectorAll("button")];
  part.firstElementChild.textContent = words;
  list.hidden = !choices;
  list.replaceChildren(...(choices ?? []).map((choice) => new Option(choice)));
  part.hidden = false;
  return new Promise((done) => {
    const answer = (value) => {
      part.hidden = true;
      done(value);
    };
    yes.onclick = () => answer(choices ? list.value : true);
    no.onclick = () => answer(choices ? null : false);
  });
}
