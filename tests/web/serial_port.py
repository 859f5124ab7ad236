"""A Web Serial port in a page that is a pseudo-terminal here: its bytes go to MicroPython's real VM (VmBoard)."""

import base64
import os

# navigator.serial as the page sees it. Source: Web Serial API (WICG): requestPort, open, readable, writable, close.
SCRIPT = """
class FakePort {
  async open() {
    await serialOpen();
    let closed = false;
    this.close = async () => { closed = true; };
    this.readable = new ReadableStream({
      async pull(controller) {
        while (!closed) {
          const text = await serialRead();
          if (text === null) { controller.error(new Error("The device has been lost.")); return; }
          if (text) { controller.enqueue(Uint8Array.from(atob(text), (c) => c.charCodeAt(0))); return; }
          await new Promise((done) => setTimeout(done, 4));
        }
      },
      cancel() { closed = true; },
    });
    this.writable = new WritableStream({
      async write(chunk) {
        if (!(await serialWrite(btoa(String.fromCharCode(...chunk))))) throw new Error("The device has been lost.");
      },
    });
  }
}
Object.defineProperty(navigator, "serial", { configurable: true, value: { requestPort: async () => new FakePort() } });
"""


class Plug:
    """Give a browser's context this port before its pages are opened; `board` is what is plugged in."""

    def __init__(self, context):
        self.board = None
        self.context = context
        self._handle = None
        context.expose_function("serialOpen", self._open)
        context.expose_function("serialRead", self._read)
        context.expose_function("serialWrite", self._write)
        context.add_init_script(SCRIPT)

    def _open(self):
        if self._handle is not None:
            os.close(self._handle)
        self._handle = os.open(self.board.port, os.O_RDWR | os.O_NOCTTY | os.O_NONBLOCK)

    def _read(self):
        try:
            return base64.b64encode(os.read(self._handle, 4096)).decode() or None
        except BlockingIOError:
            return ""
        except OSError:
            return None

    def _write(self, text):
        data = base64.b64decode(text)
        try:
            while data:
                try:
                    data = data[os.write(self._handle, data):]
                except BlockingIOError:
                    continue
        except OSError:
            return False
        return True
