"use strict";
// Draws the picture, fits it to the page, and says what held at the moment under the pointer.
(function () {
  const flight = JSON.parse(document.getElementById("flight").textContent);
  const figure = JSON.parse(document.getElementById("figure").textContent);
  const box = document.getElementById("picture");
  const cursor = document.getElementById("cursor");
  const end = flight.end_s;
  let at = 0;

  const narrow = () => box.clientWidth < 640;

  // On a narrow page the names of the thresholds move inside, and a finger scrolls the page instead of zooming.
  function fitted() {
    const layout = structuredClone(figure.layout);
    if (narrow()) {
      layout.margin.l = 52;
      layout.margin.r = 10;
      layout.dragmode = false;
      layout.xaxis.nticks = 5;
      layout.yaxis.title.standoff = 2;
      layout.shapes = layout.shapes.filter((shape) => !(shape.x0 === 1));
      for (const note of layout.annotations) {
        if (note.name === "threshold") { note.xanchor = "right"; note.xshift = 0; note.font.size = 12; }
        if (note.name === "heading") { note.font.size = 13; note.xshift = -layout.margin.l + 4; }
        if (note.name === "strip") { note.font.size = 13; }
      }
    }
    layout.width = box.clientWidth;
    return layout;
  }

  const margin = () => fitted().margin;
  const range = () => box.layout.xaxis.range.map(Number);

  function draw() {
    return Plotly.react(box, figure.data, fitted(), { displayModeBar: false, responsive: false, doubleClick: false });
  }

  function show(from, to) {
    const span = Math.min(Math.max(to - from, Math.min(1, end)), end);
    const start = Math.min(Math.max(from, 0), end - span);
    return Plotly.relayout(box, { "xaxis.range": [start, start + span] }).then(mark);
  }

  // The last entry of a list of [time, word] at or before t.
  function wordAt(list, t) {
    let low = 0, high = list.length - 1;
    while (low < high) {
      const middle = (low + high + 1) >> 1;
      if (list[middle][0] <= t) { low = middle; } else { high = middle - 1; }
    }
    return list[low][1];
  }

  // A curve is given by few points; between two of them it is straight, and a gap is not known.
  function valueAt(curve, t) {
    const times = curve.t, values = curve.v;
    let low = 0, high = times.length - 1;
    while (low < high) {
      const middle = (low + high + 1) >> 1;
      if (times[middle] <= t) { low = middle; } else { high = middle - 1; }
    }
    const next = Math.min(low + 1, times.length - 1);
    if (values[low] === null) { return null; }
    if (values[next] === null || next === low) { return values[low]; }
    return values[low] + (values[next] - values[low]) * (t - times[low]) / (times[next] - times[low]);
  }

  function mark() {
    const [from, to] = range(), sides = margin();
    const width = box.clientWidth - sides.l - sides.r;
    const part = (at - from) / (to - from);
    cursor.style.display = part >= 0 && part <= 1 ? "block" : "none";
    cursor.style.left = sides.l + part * width + "px";
    cursor.style.height = figure.layout.height - sides.b + "px";
  }

  function tell(t) {
    at = Math.min(Math.max(t, 0), end);
    document.getElementById("at-time").textContent = at.toFixed(2) + " s";
    for (const [name, curve] of Object.entries(flight.numbers)) {
      const value = valueAt(curve, at);
      document.getElementById("at-" + name).textContent =
        value === null ? "unknown" : value.toFixed(curve.digits) + " " + curve.unit;
    }
    for (const [name, list] of Object.entries(flight.words)) {
      document.getElementById("at-" + name).textContent = wordAt(list, at);
    }
    mark();
  }

  function timeUnder(event) {
    const sides = margin(), place = box.getBoundingClientRect();
    const part = (event.clientX - place.left - sides.l) / (place.width - sides.l - sides.r);
    const [from, to] = range();
    return part < 0 || part > 1 ? null : from + part * (to - from);
  }

  function follow(event) {
    const t = timeUnder(event);
    if (t !== null) { tell(t); }
  }

  const steps = {
    closer: () => { const [a, b] = range(), quarter = (b - a) / 4, mid = at >= a && at <= b ? at : (a + b) / 2;
      return show(mid - quarter, mid + quarter); },
    wider: () => { const [a, b] = range(), half = (b - a) / 2; return show(a - half, b + half); },
    earlier: () => { const [a, b] = range(), part = (b - a) / 3; return show(a - part, b - part); },
    later: () => { const [a, b] = range(), part = (b - a) / 3; return show(a + part, b + part); },
    whole: () => show(0, end),
  };

  draw().then(function () {
    box.on("plotly_relayout", mark);
    box.on("plotly_doubleclick", steps.whole);
    tell(flight.start_at_s);
  });
  box.addEventListener("pointermove", follow);
  box.addEventListener("pointerdown", follow);
  box.addEventListener("keydown", function (event) {
    const [a, b] = range(), step = (b - a) / 100;
    const moves = { ArrowLeft: -step, ArrowRight: step, Home: a - at, End: b - at };
    if (event.key in moves) { tell(at + moves[event.key]); event.preventDefault(); }
  });
  for (const name of Object.keys(steps)) { document.getElementById(name).addEventListener("click", steps[name]); }
  for (const button of document.querySelectorAll("button[data-t]")) {
    button.addEventListener("click", function () {
      const t = Number(button.dataset.t), span = Math.min(end, 12);
      show(t - span / 3, t + span * 2 / 3).then(() => tell(t));
      document.getElementById("picture-heading").scrollIntoView();
    });
  }
  let width = box.clientWidth;
  window.addEventListener("resize", function () {
    if (box.clientWidth === width) { return; }
    width = box.clientWidth;
    const kept = range();
    draw().then(() => show(kept[0], kept[1]));
  });
})();
