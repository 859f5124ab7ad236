// Worker: paints the picture away from the page's own thread.
// In: {basis, width, height} once the tracer has one, then {lights, matrix} as often as wanted.
// Out: an ImageData for each {lights, matrix}, or null while there is nothing to paint.

import { paint } from "./picture.js";

let canvas = null;

onmessage = ({ data }) => {
  if (data.basis) {
    canvas = data;
    return;
  }
  if (!canvas || canvas.basis.length !== canvas.width * canvas.height * 3 * data.lights.length) {
    postMessage(null);
    return;
  }
  const image = new ImageData(canvas.width, canvas.height);
  paint(canvas.basis, data.lights, data.matrix, image);
  postMessage(image, [image.data.buffer]);
};
