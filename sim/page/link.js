// The socket to the server, which reconnects by itself. sim/web/link.js takes its place where there is no server.

import { hear, take } from "./messages.js";

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

// Play a feed from a file -> what is wrong with it, or "".
export async function play(file) {
  const answer = await fetch("feed", { method: "POST", body: file });
  return answer.ok ? "" : answer.text();
}
