// MicroPython's raw REPL over a serial port (Web Serial): run code on the board, in its raw paste mode, which says how
// fast it takes bytes. Source: MicroPython's manual, "The raw REPL".

const PATIENCE = 10_000; // ms until a board that does not answer counts as gone
const ANSWER = 1500; // ms for the raw REPL, of which there are three tries
const BAUD = 115_200;
const encoder = new TextEncoder();
const bytes = (text) => encoder.encode(text);

export class Refused extends Error {} // what went wrong and what to do, for a person

export class Repl {
  // port: a SerialPort. `said`: text that has come and was not read yet.
  constructor(port) {
    this.port = port;
    this.said = "";
    this.decoder = new TextDecoder("latin1");
    this.woken = () => {};
  }

  // Open the port and the raw REPL; what runs on the board is interrupted. Errors: Refused.
  async open(install) {
    try {
      await this.port.open({ baudRate: BAUD });
    } catch (error) {
      throw new Refused(`The port does not open (${error.message}). Another program or tab may have it: close it there.`);
    }
    this.writer = this.port.writable.getWriter();
    this.reader = this.port.readable.getReader();
    this.pump();
    for (let tries = 0; ; tries++) {
      await this.write("\r\x03\x03");
      await pause(200);
      this.said = "";
      await this.write("\r\x01");
      try {
        await this.until("raw REPL; CTRL-B to exit\r\n>", ANSWER);
        return;
      } catch (error) {
        if (tries === 2) throw new Refused(`MicroPython does not answer on this port.\n${install}`);
      }
    }
  }

  async pump() {
    try {
      for (;;) {
        const { value, done } = await this.reader.read();
        if (done) break;
        this.said += this.decoder.decode(value);
        this.woken();
      }
    } catch {
      // the cable was pulled: who waits is told below
    }
    this.gone = true;
    this.woken();
  }

  async write(text) {
    if (this.gone) throw lost();
    try {
      await this.writer.write(bytes(text));
    } catch {
      throw lost();
    }
  }

  // Text up to an end that is awaited, without it. Errors: Refused: the board went away, or says nothing.
  async until(end, patience = PATIENCE) {
    return this.wait(() => {
      const at = this.said.indexOf(end);
      if (at < 0) return undefined;
      const text = this.said.slice(0, at);
      this.said = this.said.slice(at + end.length);
      return text;
    }, patience);
  }

  take(count) {
    return this.wait(() => {
      if (this.said.length < count) return undefined;
      const text = this.said.slice(0, count);
      this.said = this.said.slice(count);
      return text;
    });
  }

  // The first answer of `look` that is not undefined. Bytes that come begin the patience anew.
  async wait(look, patience = PATIENCE) {
    for (;;) {
      const found = look();
      if (found !== undefined) return found;
      if (this.gone) throw lost();
      const before = this.said.length;
      await new Promise((done) => {
        const timer = setTimeout(done, patience);
        this.woken = () => {
          clearTimeout(timer);
          done();
        };
      });
      if (this.said.length === before && !this.gone) throw new Refused("The board does not answer any more. Press its reset button and try again.");
    }
  }

  // What code prints. Errors: Refused with the board's traceback.
  async exec(code) {
    await this.write("\x05A\x01");
    if ((await this.take(2)) !== "R\x01") throw new Refused("This MicroPython is too old: it has no raw paste mode.");
    const window = await this.take(2);
    const most = window.charCodeAt(0) | (window.charCodeAt(1) << 8);
    const data = encoder.encode(code);
    let room = most;
    for (let at = 0; at < data.length; ) {
      while (room === 0 || this.said.length) {
        const word = await this.take(1);
        if (word === "\x01") room += most;
        else {
          await this.write("\x04");
          throw new Refused("The board broke off a step. Try again: it goes on where it was.");
        }
      }
      const part = data.subarray(at, at + room);
      try {
        await this.writer.write(part);
      } catch {
        throw lost();
      }
      room -= part.length;
      at += part.length;
    }
    await this.write("\x04");
    await this.until("\x04");
    const [printed, wrong] = [await this.until("\x04"), await this.until("\x04>")];
    if (wrong) throw new Refused(`The board refused a step:\n${wrong.trim()}`);
    return utf8(printed);
  }

  // Let main.py run. The port stays open: `said` grows.
  async start() {
    this.said = "";
    await this.write("\r\x02\x04");
  }

  async close() {
    await this.reader.cancel().catch(() => {});
    this.reader.releaseLock();
    await this.writer.close().catch(() => {});
    this.writer.releaseLock();
    await this.port.close().catch(() => {});
  }
}

export function pause(ms) {
  return new Promise((done) => setTimeout(done, ms));
}

function lost() {
  return new Refused("The board went away. Nothing is lost: plug it in again and do the same again; it goes on where it was.");
}

function utf8(text) {
  return new TextDecoder().decode(Uint8Array.from(text, (letter) => letter.charCodeAt(0)));
}
