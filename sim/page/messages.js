// What a page is sent: text is JSON, binary is what changes many times a second; sim/talk.py says what each holds.
// Binary, little-endian, by first byte: P panel rows, F frame, L lamps.

export function hear(on, message) {
  for (const [kind, value] of Object.entries(message)) on[kind]?.(value);
}

export function take(on, data) {
  const view = new DataView(data);
  const kind = String.fromCharCode(view.getUint8(0));
  if (kind === "P") on.panel(view.getUint16(2, true), view.getUint16(4, true), new Uint8Array(data, 8));
  else if (kind === "F") on.frame(new Uint8Array(data, 8), view.getUint32(4, true));
  else if (kind === "L") on.lights(new Float32Array(data, 4));
}
