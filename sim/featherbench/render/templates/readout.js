"use strict";
// Reads a picture's values at the pointer, a finger, or with the arrow keys. The page is complete without it.
for (const figure of document.querySelectorAll("figure[data-curves]")) {
  const panels = JSON.parse(document.getElementById(figure.dataset.curves).textContent);
  const svg = figure.querySelector("svg");
  const words = figure.querySelector(".readout");
  const rule = document.createElementNS(svg.namespaceURI, "path");
  rule.setAttribute("style", "stroke: var(--ink); stroke-width: .7; pointer-events: none");
  svg.append(rule);
  words.textContent = "Point at the picture, or use the arrow keys, to read its values.";
  svg.setAttribute("tabindex", "0");
  let place = null; // panel, and where along it, 0 to 1

  const at = (line, x) => {
    const xs = line.x, last = xs.length - 1, rising = xs[last] >= xs[0];
    let i = 1;
    while (i < last && (rising ? xs[i] < x : xs[i] > x)) i++;
    const step = xs[i] - xs[i - 1];
    const share = step === 0 ? 1 : (x - xs[i - 1]) / step;
    if (share < -1e-6 || share > 1 + 1e-6) return null;
    const [one, two] = [line.y[i - 1], line.y[i]];
    return one === null || two === null ? null : one + share * (two - one);
  };
  const number = (value, digits) => value.toFixed(digits).replace("-", "\u2212");
  const read = () => {
    const [left, top, width, height] = place.panel.box;
    const [low, high] = place.panel.limits;
    const x = low + place.share * (high - low);
    rule.setAttribute("d", `M${left + place.share * width} ${top}v${height}`);
    words.textContent = "";
    words.append(`${place.panel.x} ${number(x, place.panel.digits)} ${place.panel.xunit}: `.replace(" :", ":"));
    let first = true;
    for (const line of place.panel.lines) {
      const value = at(line, x);
      if (value === null) continue;
      if (!first) words.append(" \u00b7 ");
      first = false;
      const bold = document.createElement("b");
      bold.textContent = number(value, line.digits);
      words.append(line.name + " ", bold);
    }
    if (place.panel.unit && !first) words.append(` ${place.panel.unit}`);
  };
  const point = (event) => {
    const matrix = svg.getScreenCTM();
    if (!matrix) return;
    const spot = new DOMPoint(event.clientX, event.clientY).matrixTransform(matrix.inverse());
    for (const panel of panels) {
      const [left, top, width, height] = panel.box;
      if (spot.y >= top - 8 && spot.y <= top + height + 8 && spot.x >= left && spot.x <= left + width) {
        place = { panel, share: (spot.x - left) / width };
        read();
        return;
      }
    }
  };
  svg.addEventListener("pointermove", point);
  svg.addEventListener("pointerdown", point);
  svg.addEventListener("keydown", (event) => {
    const move = { ArrowLeft: -0.01, ArrowRight: 0.01 }[event.key];
    const turn = { ArrowUp: -1, ArrowDown: 1 }[event.key];
    if (move === undefined && turn === undefined) return;
    event.preventDefault();
    place = place || { panel: panels[0], share: 0.5 };
    if (move !== undefined) place.share = Math.min(1, Math.max(0, place.share + move));
    else place.panel = panels[Math.min(panels.length - 1, Math.max(0, panels.indexOf(place.panel) + turn))];
    read();
  });
}
