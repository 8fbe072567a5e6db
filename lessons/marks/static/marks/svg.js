/** Draws shapes as SVG, the same elements that templates/marks/_svg.html writes on the server. */

const SVG = "http://www.w3.org/2000/svg";

/** @param {string} name @param {Record<string, string | number>} attributes */
export function element(name, attributes = {}) {
  const made = document.createElementNS(SVG, name);
  for (const [key, value] of Object.entries(attributes)) made.setAttribute(key, String(value));
  return made;
}

/** Fill a group with the layers and the text of a shape. @param {SVGElement} group @param {import("./shapes.js").Shape} shape @param {(path: import("./paths.js").Path) => string} data */
export function paint(group, shape, data) {
  const parts = shape.layers.map((layer) => {
    const path = element("path", { d: data(layer.path), fill: layer.fill || "none" });
    if (layer.stroke) {
      path.setAttribute("stroke", layer.stroke);
      path.setAttribute("stroke-width", layer.width.toFixed(2));
    }
    return path;
  });
  if (shape.text) {
    const { words, x, y, size, width, colour } = shape.text;
    const text = element("text", {
      x: x.toFixed(2),
      y: y.toFixed(2),
      "font-size": size.toFixed(2),
      textLength: width.toFixed(2),
      lengthAdjust: "spacingAndGlyphs",
      fill: colour,
    });
    text.textContent = words;
    parts.push(text);
  }
  group.replaceChildren(...parts);
}
