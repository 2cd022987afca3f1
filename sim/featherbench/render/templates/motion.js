// Moves the linkage by the numbers of its runs. Without it, and on paper, the picture is a still.
for (const figure of document.querySelectorAll("figure.motion")) {
  const data = JSON.parse(document.getElementById("motion-data").textContent);
  const panels = [...figure.querySelectorAll("svg")];
  const slider = figure.querySelector("input"), button = figure.querySelector("button.play");
  const said = figure.querySelector(".lesson"), clock = figure.querySelector("output");
  const choices = [...figure.querySelectorAll("button.scene")], wide = 16;
  let scene = data.scenes[0], at = scene.still, last = null; // a frame, and where between two
  const set = (one, name, values) => { for (const key in values) one.querySelector(name)?.setAttribute(key, values[key]); };
  const words = (force) => {
    const shown = Math.abs(force * data.force[1]).toFixed(1) + " " + data.force[2];
    return Math.abs(force * data.force[1]) < 0.05 ? shown : shown + (force > 0 ? " push" : " pull");
  };
  const draw = () => {
    const times = scene.time;
    const i = Math.min(times.length - 1, Math.max(1, Math.ceil(at))), share = at - (i - 1);
    const lessons = [];
    panels.forEach((svg, number) => {
      const rows = scene.rows[number], row = [];
      for (let k = 0; k < wide; k++) row.push(rows[(i - 1) * wide + k] * (1 - share) + rows[i * wide + k] * share);
      const [turn, hx, hy, sx, sy, px, py, rx, ry, ax, ay] = row.slice(0, 11).map((value) => value / 10);
      const force = row[11] / 100, meter = row[13] / 1000, seat = row[14] / 100;
      const axis = svg.querySelector(".m-axis"), pivot = svg.querySelector(".m-pivot");
      const cx = +pivot.getAttribute("cx"), cy = +pivot.getAttribute("cy");
      set(svg, ".m-blade", { transform: `rotate(${-turn} ${axis.getAttribute("cx")} ${axis.getAttribute("cy")})` });
      set(svg, ".m-link", { x1: hx, y1: hy, x2: sx, y2: sy });
      if (+pivot.getAttribute("r")) set(svg, ".m-crank", { points: `${sx},${sy} ${cx},${cy} ${px},${py}` });
      set(svg, ".m-rod", { x1: px, y1: py, x2: rx, y2: ry });
      set(svg, ".m-arm", { x2: ax, y2: ay });
      const x = (px + rx) / 2, y = (py + ry) / 2 + 9, length = force / data.force[0] * data.arrow;
      const end = x - length, back = end + (length > 0 ? 6 : -6);
      set(svg, ".m-force", { d: Math.abs(length) < 1 ? `M${x} ${y}`
        : `M${x} ${y}H${end}M${back} ${y - 4}L${end} ${y}L${back} ${y + 4}` });
      set(svg, ".m-number", { x, y: y + 15 });
      svg.querySelector(".m-number").textContent = words(force);
      const needle = (name, angle) => {
        const line = svg.querySelector(name), kept = Math.min(90, Math.max(-90, angle));
        line.setAttribute("transform", `rotate(${kept} ${line.getAttribute("x1")} ${line.getAttribute("y1")})`);
      };
      needle(".m-gauge", force / data.force[0] * 90);
      needle(".m-meter", -90 + 180 * meter / data.current);
      for (const part of svg.querySelectorAll(".m-flight")) part.setAttribute("visibility", scene.name === "hover" ? "visible" : "hidden");
      svg.querySelector(".m-now")?.setAttribute("transform", `translate(${data.strip[0] + data.strip[1] * at / (times.length - 1)} 0)`);
      const tail = svg.querySelector(".m-tail");
      if (tail) tail.setAttribute("transform", `rotate(${data.swung * row[15] / 100} ${tail.getAttribute("x1")} ${tail.getAttribute("y1")})`);
      const pin = svg.querySelector(".m-pin");
      pin.setAttribute("transform", `translate(${+pin.dataset.half * seat} 0)`);
      const free = scene.name === "release";
      svg.querySelector(".m-seat").textContent = free ? "nothing on it"
        : seat <= -0.995 ? "on the left face" : seat >= 0.995 ? "on the right face" : "floats";
      svg.querySelector(".m-meter-text").textContent = `ammeter ${meter.toFixed(2)} A`;
      const rate = Math.abs(rows[i * wide] - rows[(i - 1) * wide]) / (times[i] - times[i - 1] || 1);
      const own = free ? data.words.released[number]
        : scene.name === "hover" ? data.words[Math.abs(seat) < 0.995 ? (panels.length < 2 ? "floating" : "floats") : panels.length < 2 ? "seated" : "seats"]
        : (rate > 0.05 ? data.words.moving : data.words.holding) + (Math.abs(seat) < 0.995 ? data.words.afloat : "");
      lessons.push(own);
    });
    const named = (own, number) => panels[number].querySelector(".m-name").textContent.replace(/^./, (one) => one.toUpperCase()) + ": " + own;
    const alike = lessons.every((own) => own === lessons[0]);
    const lesson = panels.length < 2 ? lessons[0] : alike ? "Both: " + lessons[0] : lessons.map(named).join(" ");
    if (said.textContent !== lesson) said.textContent = lesson;
    clock.textContent = ((times[i - 1] * (1 - share) + times[i] * share) / 1000).toFixed(2) + " s";
    slider.value = at;
    if (scene.name === "bench")
      document.dispatchEvent(new CustomEvent("moment", { detail: (times[i - 1] * (1 - share) + times[i] * share) / 1000 }));
  };
  const pause = () => { last = null; button.textContent = "Play"; };
  const step = (now) => {
    if (last === null) return;
    at = Math.min(scene.time.length - 1, at + (now - last) * 0.025); // frames lie closer where more happens
    last = now;
    if (at === scene.time.length - 1) pause();
    draw();
    if (last !== null) requestAnimationFrame(step);
  };
  button.addEventListener("click", () => {
    if (last !== null) { pause(); return; }
    if (at >= scene.time.length - 1) at = 0;
    last = performance.now();
    button.textContent = "Pause";
    requestAnimationFrame(step);
  });
  slider.addEventListener("input", () => {
    pause();
    at = +slider.value;
    draw();
  });
  choices.forEach((choice, number) => choice.addEventListener("click", () => {
    pause();
    scene = data.scenes[number];
    for (const one of choices) one.setAttribute("aria-pressed", one === choice);
    at = matchMedia("(prefers-reduced-motion: reduce)").matches ? scene.still : 0;
    draw();
  }));
  addEventListener("beforeprint", () => { pause(); scene = data.scenes[0]; at = scene.still; draw(); });
  draw();
}
