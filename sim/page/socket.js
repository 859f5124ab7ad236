// The socket to the server: text is JSON, binary is what changes many times a second. Reconnects by itself.
// Binary, little-endian, by first byte: P panel rows, F frame, L lamps; sim/server.py says what each holds.

// on: {hello, state, meter, notice, panel, frame, lights, gone}: functions. Returns say(object).
export function connect(on) {
  let socket;
  const open = () => {
    socket = new WebSocket(new URL("socket", location.href.replace(/^http/, "ws")));
    socket.binaryType = "arraybuffer";
    socket.onmessage = ({ data }) => (typeof data === "string" ? hear(on, JSON.parse(data)) : take(on, data));
    socket.onclose = () => {
      on.gone();
      setTimeout(open, 1000);
    };
  };
  open();
  return (what) => {
    if (socket.readyState === WebSocket.OPEN) socket.send(JSON.stringify(what));
  };
}

function hear(on, message) {
  for (const [kind, value] of Object.entries(message)) on[kind]?.(value);
}

function take(on, data) {
  const view = new DataView(data);
  const kind = String.fromCharCode(view.getUint8(0));
  if (kind === "P") on.panel(view.getUint16(2, true), view.getUint16(4, true), new Uint8Array(data, 8));
  else if (kind === "F") on.frame(new Uint8Array(data, 8), view.getUint32(4, true));
  else if (kind === "L") on.lights(new Float32Array(data, 4));
}
