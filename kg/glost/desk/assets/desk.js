// What a page cannot do by itself: answers while one types, and a page image moved and drawn on.
// Everything else is plain links and forms. Texts come from the desk itself, escaped there.
"use strict";
const $ = (what, of = document) => of.querySelector(what);
const $$ = (what, of = document) => [...of.querySelectorAll(what)];

// -- parts of a page, put in their place while one types ---------------------------------------
const waiting = new WeakMap();
function soon(key, wait, work) {
  const before = waiting.get(key);
  if (before) { clearTimeout(before.timer); before.stop.abort(); }
  const now = { stop: new AbortController() };
  now.timer = setTimeout(() => work(now.stop.signal).catch(bad => { if (bad.name !== "AbortError") throw bad; }), wait);
  waiting.set(key, now);
}
async function put(address, fields, into, signal) {
  const answer = await fetch(address + "?" + new URLSearchParams(fields), { signal });
  if (answer.ok && into) into.innerHTML = await answer.text();
}
for (const it of $$("[data-live]")) {
  it.addEventListener("input", () => soon(it, 160, signal => {
    const fields = it.form === undefined ? new FormData(it) : { [it.name]: it.value };
    return put(it.dataset.live, fields, document.getElementById(it.dataset.into), signal);
  }));
}

// -- cells: checked, and things found by any of their names --------------------------------------
const told = input => document.getElementById(input.id + "-told");
function check(input, wait) {
  soon(input, wait, signal => put("/cell",
    { table: input.dataset.table, column: input.dataset.column, text: input.value }, told(input), signal)
    .then(() => {
      const bad = Boolean($(".bad", told(input)));
      input.toggleAttribute("aria-invalid", bad);
      if (bad) input.setAttribute("aria-invalid", "true");
      input.closest(".field").classList.toggle("wrong", bad);
    }));
  const form = input.form;
  if (form && form.dataset.foretold) soon(form, 500, signal => {
    const fields = [...new FormData(form)].filter(([name, text]) => name.startsWith("cell-") && text);
    return put(form.dataset.foretold, fields, $("#foreseen", form), signal);
  });
}
document.addEventListener("input", event => { if (event.target.dataset.column) check(event.target, 120); });
document.addEventListener("focusin", event => {
  if (event.target.dataset.column && !told(event.target).firstElementChild) check(event.target, 0);
});
document.addEventListener("click", event => {
  const button = event.target.closest("[data-take]");
  if (!button) return;
  const input = $("input", button.closest(".field"));
  const before = input.value.lastIndexOf("|") + 1;
  input.value = input.value.slice(0, before) + button.dataset.take;
  input.focus();
  check(input, 0);
});
document.addEventListener("keydown", event => {
  const field = event.target.closest && event.target.closest(".field");
  if (!field || !["ArrowDown", "ArrowUp", "Escape"].includes(event.key)) return;
  const places = [$("input", field), ...$$("[data-take]", field)];
  const at = places.indexOf(event.target);
  if (at < 0 || places.length < 2) return;
  const next = event.key === "Escape" ? 0 : at + (event.key === "ArrowDown" ? 1 : -1);
  if (places[next]) { places[next].focus(); event.preventDefault(); }
});

// -- a page image: larger and smaller, moved, drawn on -------------------------------------------
const plate = $("[data-plate]");
if (plate) {
  const whole = { x: 0, y: 0, w: Number(plate.dataset.width), h: Number(plate.dataset.height) };
  const drawn = $("[data-drawn]", plate), region = $("#cell-region"), draw = $("[data-draw]");
  let view = { ...whole }, from = null, pinch = 0;
  const held = new Map();
  $("[data-tools]").hidden = false;
  const show = () => {
    view.w = Math.min(whole.w, Math.max(whole.w / 40, view.w));
    view.h = view.w * whole.h / whole.w;
    view.x = Math.min(Math.max(0, view.x), whole.w - view.w);
    view.y = Math.min(Math.max(0, view.y), whole.h - view.h);
    plate.setAttribute("viewBox", [view.x, view.y, view.w, view.h].join(" "));
  };
  const place = event => {
    const at = new DOMPoint(event.clientX, event.clientY).matrixTransform(plate.getScreenCTM().inverse());
    return { x: Math.min(Math.max(0, at.x), whole.w), y: Math.min(Math.max(0, at.y), whole.h) };
  };
  const zoom = (much, at = { x: view.x + view.w / 2, y: view.y + view.h / 2 }) => {
    const w = Math.min(whole.w, view.w * much), share = w / view.w;
    view = { x: at.x - (at.x - view.x) * share, y: at.y - (at.y - view.y) * share, w, h: view.h * share };
    show();
  };
  const outline = (a, b) => {
    const box = [Math.min(a.x, b.x), Math.min(a.y, b.y), Math.abs(a.x - b.x), Math.abs(a.y - b.y)].map(Math.round);
    ["x", "y", "width", "height"].forEach((name, at) => drawn.setAttribute(name, box[at]));
    return box;
  };
  const take = box => {
    if (!region || box[2] < 2 || box[3] < 2) return;
    region.value = plate.dataset.prefix + "xywh=" + box.join(",");
    region.dispatchEvent(new Event("input", { bubbles: true }));
  };
  const drawing = () => draw && draw.getAttribute("aria-pressed") === "true";
  if (draw) draw.addEventListener("click", () => {
    draw.setAttribute("aria-pressed", String(!drawing()));
    plate.classList.toggle("drawing", drawing());
  });
  for (const button of $$("[data-zoom]")) button.addEventListener("click", () => {
    if (button.dataset.zoom === "all") { view = { ...whole }; show(); }
    else zoom(button.dataset.zoom === "in" ? 0.7 : 1 / 0.7);
  });
  plate.addEventListener("wheel", event => { event.preventDefault(); zoom(event.deltaY < 0 ? 0.85 : 1 / 0.85, place(event)); }, { passive: false });
  plate.addEventListener("keydown", event => {
    const step = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] }[event.key];
    if (step) { view.x += step[0] * view.w / 8; view.y += step[1] * view.h / 8; show(); }
    else if (event.key === "+" || event.key === "=") zoom(0.7);
    else if (event.key === "-") zoom(1 / 0.7);
    else if (event.key === "0") { view = { ...whole }; show(); }
    else return;
    event.preventDefault();
  });
  plate.addEventListener("dragstart", event => event.preventDefault());
  plate.addEventListener("pointerdown", event => {
    held.set(event.pointerId, event);
    from = { at: place(event), client: [event.clientX, event.clientY], moved: false };
    if (drawing()) { plate.setPointerCapture(event.pointerId); event.preventDefault(); }
  });
  plate.addEventListener("pointermove", event => {
    if (!held.has(event.pointerId) || !from) return;
    held.set(event.pointerId, event);
    if (held.size === 2) {
      const [a, b] = [...held.values()], apart = Math.hypot(a.clientX - b.clientX, a.clientY - b.clientY);
      if (pinch) zoom(pinch / apart, place(a));
      pinch = apart;
      return;
    }
    if (!from.moved && Math.hypot(event.clientX - from.client[0], event.clientY - from.client[1]) < 4) return;
    from.moved = true;
    const at = place(event);
    if (drawing()) { outline(from.at, at); return; }
    plate.setPointerCapture(event.pointerId);
    view.x += from.at.x - at.x; view.y += from.at.y - at.y;
    show();
  });
  const end = event => {
    held.delete(event.pointerId);
    pinch = 0;
    if (from && from.moved && drawing() && event.type === "pointerup") take(outline(from.at, place(event)));
    if (!held.size) setTimeout(() => { from = null; });
  };
  plate.addEventListener("pointerup", end);
  plate.addEventListener("pointercancel", end);
  plate.addEventListener("click", event => { if (drawing() || (from && from.moved)) event.preventDefault(); }, true);
  if (region) region.addEventListener("input", () => {
    const typed = /xywh=(?:pixel:)?([\d.]+),([\d.]+),([\d.]+),([\d.]+)/.exec(region.value);
    if (typed) ["x", "y", "width", "height"].forEach((name, at) => drawn.setAttribute(name, typed[at + 1]));
  });
  if (Number(drawn.getAttribute("width")) && Number(drawn.getAttribute("width")) < whole.w / 3) {
    const box = ["x", "y", "width", "height"].map(name => Number(drawn.getAttribute(name)));
    view = { x: box[0] - box[2], y: box[1] - box[3], w: box[2] * 3, h: 0 };
    show();
  }
}

// -- files dropped on the field that takes them --------------------------------------------------
for (const form of $$("form.drop")) {
  form.addEventListener("dragover", event => { event.preventDefault(); form.classList.add("over"); });
  form.addEventListener("dragleave", () => form.classList.remove("over"));
  form.addEventListener("drop", event => {
    event.preventDefault();
    form.classList.remove("over");
    $("input[type=file]", form).files = event.dataTransfer.files;
  });
}

// -- a recording played from a file of one's own, its stretches marked ---------------------------
const player = $("[data-player]"), cell = $("#cell-region");
if (player) {
  player.hidden = false;
  const sound = $("audio", player), clock = seconds => Math.floor(seconds * 10) / 10;
  $("input", player).addEventListener("change", event => {
    if (sound.src) URL.revokeObjectURL(sound.src);
    sound.src = URL.createObjectURL(event.target.files[0]);
  });
  for (const button of $$("[data-mark]", player)) button.addEventListener("click", () => {
    if (!cell) return;
    const [begin, end] = cell.value.replace(/^.*t=/, "").split(",");
    const now = clock(sound.currentTime);
    cell.value = "t=" + (button.dataset.mark === "begin" ? now + (end && Number(end) > now ? "," + end : "") : (begin || 0) + "," + now);
    cell.dispatchEvent(new Event("input", { bubbles: true }));
  });
}

// -- one key for what is done most ----------------------------------------------------------------
document.addEventListener("keydown", event => {
  if (event.ctrlKey || event.metaKey || event.altKey || event.target.closest("input, select, textarea")) return;
  const button = $(`[data-key="${CSS.escape(event.key)}"]`);
  if (button) { button.click(); event.preventDefault(); }
});

// -- a talk on the screen: on and back by keys ----------------------------------------------------
const slides = $$(".slide");
if (slides.length) document.addEventListener("keydown", event => {
  const on = ["ArrowRight", "ArrowDown", "PageDown", " "].includes(event.key);
  const back = ["ArrowLeft", "ArrowUp", "PageUp"].includes(event.key);
  if (!on && !back || event.target.closest("a, summary") && event.key === " ") return;
  const at = slides.findIndex(each => each.getBoundingClientRect().bottom > innerHeight / 2);
  const next = slides[at + (on ? 1 : -1)];
  if (next) { next.focus({ preventScroll: true }); next.scrollIntoView(); }
  event.preventDefault();
});
