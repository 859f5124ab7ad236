// The plan: the set from above, the camera at the left, lamps as they stand and where they point. SVG; 1 unit = 1 m.
// Plan x is the set's y, away from the camera; plan y is the set's x, the camera's right.

const SVG = "http://www.w3.org/2000/svg";

function make(kind, attributes, text) {
  const element = document.createElementNS(SVG, kind);
  for (const [name, value] of Object.entries(attributes)) element.setAttribute(name, value);
  if (text) element.textContent = text;
  return element;
}

// Solids from above, the camera, the mark, and a beam and a name for each lamp.
export function drawPlan(svg, scene, mark) {
  const solids = scene.groups.flatMap(({ members }) => members).filter((solid) => solid.kind !== "box" || solid.high[2] > 0.05).map(outline);
  const beams = scene.lamps.map(beam);
  const [x, y] = [scene.camera.at[1], scene.camera.at[0]];
  svg.replaceChildren(...solids, ...beams,
    make("path", { d: `M${x} ${y - 0.14}v.28h-.3v-.28zM${x + 0.03} ${y - 0.1}v.2h.14v-.2z`, fill: "#b3a48f" }),
    make("text", { x: x - 0.4, y: y + 0.5 }, "Camera"),
    make("circle", { cx: mark.at[1], cy: mark.at[0], r: 0.05, fill: "none", stroke: "#fff", "stroke-width": 0.02 }));
}

function outline(solid) {
  const look = { fill: "#8b7d6c18", stroke: "#8b7d6c", "stroke-width": 0.012 };
  if (solid.kind === "box") {
    const [height, width] = [0, 1].map((k) => solid.high[k] - solid.low[k]);
    return make("rect", { ...look, x: solid.low[1], y: solid.low[0], width, height });
  }
  const [ry, rx] = solid.kind === "ball" ? solid.radii : [solid.radius, solid.radius];
  return make("ellipse", { ...look, cx: solid.at[1], cy: solid.at[0], rx, ry });
}

function beam(lamp) {
  const group = make("g", { "data-lamp": lamp.name });
  const right = lamp.at[1] > 3; // no room for its name on the far side
  const [x, y] = [lamp.at[1], lamp.at[0]];
  if (!lamp.bare) {
    const reach = Math.hypot(lamp.aim[0] - lamp.at[0], lamp.aim[1] - lamp.at[1]);
    const middle = Math.atan2(lamp.aim[0] - lamp.at[0], lamp.aim[1] - lamp.at[1]);
    const half = (lamp.beam * Math.PI) / 360;
    const [a, b] = [middle - half, middle + half].map((angle) => [x + reach * Math.cos(angle), y + reach * Math.sin(angle)]);
    group.append(make("path", { class: "beam", d: `M${x} ${y}L${a}A${reach} ${reach} 0 0 1 ${b}Z` }));
  }
  group.append(make("circle", { class: "bulb", cx: x, cy: y, r: 0.13, stroke: "#ece0d0", "stroke-width": 0.02 }),
    make("text", { x: x + (right ? -0.2 : 0.2), y: y + 0.09, "text-anchor": right ? "end" : "start" }, lamp.name));
  return group;
}

// lights: for each lamp [css colour, share of its full light].
export function lightPlan(svg, lights) {
  svg.querySelectorAll("g").forEach((group, i) => {
    const [colour, share] = lights[i] || ["#000", 0];
    const bulb = group.querySelector(".bulb");
    bulb.style.fill = share > 0.0005 ? colour : "#14100d";
    const shine = group.querySelector(".beam");
    if (!shine) return;
    shine.style.fill = colour;
    shine.style.opacity = share > 0.0005 ? 0.06 + 0.44 * Math.sqrt(share) : 0;
  });
}
