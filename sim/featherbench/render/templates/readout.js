"use strict";
// Reads a picture's values at the pointer, a finger, or with the arrow keys, and marks the same pitch or time in the other
// pictures; saves a picture as a file. The page is complete without it.
const read_outs = [];
for (const figure of document.querySelectorAll("figure[data-curves]")) {
  const panels = JSON.parse(document.getElementById(figure.dataset.curves).textContent);
  const svg = figure.querySelector("svg");
  const words = figure.querySelector(".readout");
  const rule = document.createElementNS(svg.namespaceURI, "path");
  rule.setAttribute("class", "rule");
  rule.setAttribute("style", "stroke: var(--ink); stroke-width: .7; fill: none; pointer-events: none");
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
  const along = (panel, x) => (x - panel.limits[0]) / (panel.limits[1] - panel.limits[0]);
  const same = (panel, other) => panel.x === other.x && panel.xunit === other.xunit;
  // Where x of a panel's axis lies in every panel of this picture that has the same axis.
  const mark = (asked, x) => {
    const there = panels.filter((panel) => same(panel, asked) && along(panel, x) >= 0 && along(panel, x) <= 1);
    rule.setAttribute("d", there.map((panel) => {
      const [left, top, width, height] = panel.box;
      return `M${left + along(panel, x) * width} ${top}v${height}`;
    }).join(""));
    return there;
  };
  const tell = (panel, x) => {
    words.textContent = "";
    words.append(`${panel.x} ${number(x, panel.digits)} ${panel.xunit}: `.replace(" :", ":"));
    let first = true;
    for (const line of panel.lines) {
      const value = at(line, x);
      if (value === null) continue;
      if (!first) words.append(" \u00b7 ");
      first = false;
      const bold = document.createElement("b");
      bold.textContent = number(value, line.digits);
      words.append(line.name + " ", bold);
    }
    if (panel.unit && !first) words.append(` ${panel.unit}`);
  };
  const own = { svg, mark, tell };
  read_outs.push(own);
  const read = () => {
    const [low, high] = place.panel.limits, x = low + place.share * (high - low);
    mark(place.panel, x);
    tell(place.panel, x);
    for (const other of read_outs) {
      if (other === own) continue;
      const [there] = other.mark(place.panel, x);
      if (there) other.tell(there, x);
    }
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
// The moving picture says where in the bench run it stands.
document.addEventListener("moment", (event) => {
  for (const one of read_outs) one.mark({ x: "time", xunit: "s" }, event.detail);
});

// A picture as a file of its own: its title, the builds, and the colours as they are seen.
const in_lines = (text, most) => text.split(" ").reduce((lines, word) => {
  const last = lines.length - 1;
  if (last >= 0 && (lines[last] + " " + word).length <= most) lines[last] += " " + word;
  else lines.push(word);
  return lines;
}, []);
for (const figure of document.querySelectorAll("figure[data-title]")) {
  const svg = figure.querySelector("svg"), button = document.createElement("button");
  button.type = "button";
  button.className = "save";
  button.textContent = "Save picture";
  button.addEventListener("click", () => {
    const copy = svg.cloneNode(true), [left, top, width, height] = svg.getAttribute("viewBox").split(" ").map(Number);
    copy.querySelector(".rule")?.remove();
    const said = [figure.dataset.title, ...document.querySelector("main").dataset.builds.split("\n")];
    const lines = said.flatMap((text, number) => in_lines(text, width / (number ? 5.4 : 7)).map((line) => [line, number]));
    const head = 13 * lines.length + 10;
    const made = (name, values, text) => {
      const one = document.createElementNS(svg.namespaceURI, name);
      for (const key in values) one.setAttribute(key, values[key]);
      one.textContent = text;
      return one;
    };
    copy.prepend(
      made("rect", { x: left, y: top - head, width, height: height + head, style: "fill: var(--paper)" }, ""),
      ...lines.map(([line, number], place) => made("text", { x: left + 4, y: top - head + 13 * (place + 1),
        style: `fill: var(--ink); font: ${number ? 9 : 11}px "DejaVu Sans", Verdana, Arial, sans-serif` }, line)));
    for (const [key, value] of Object.entries({ xmlns: svg.namespaceURI, width: 2 * width, height: 2 * (height + head),
      viewBox: `${left} ${top - head} ${width} ${height + head}` })) copy.setAttribute(key, value);
    const seen = getComputedStyle(document.documentElement);
    const text = new XMLSerializer().serializeToString(copy)
      .replace(/var\((--[a-z]+)\)/g, (_, name) => seen.getPropertyValue(name).trim());
    const link = document.createElement("a");
    link.href = URL.createObjectURL(new Blob([text], { type: "image/svg+xml" }));
    link.download = figure.dataset.title.toLowerCase().replace(/[^a-z0-9]+/g, "-") + ".svg";
    link.click();
    setTimeout(() => URL.revokeObjectURL(link.href), 10000);
  });
  figure.append(button);
}
