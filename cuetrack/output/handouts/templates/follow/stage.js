const shown = new Map();

// The page is written to only where it changes.
function put(id, text) {
  if (shown.get(id) === text) return false;
  shown.set(id, text);
  const element = byId(id);
  if (!element) return true;
  element.textContent = text;
  if (element.tagName === "P") element.hidden = text === "";
  return true;
}

function putPairs(id, pairs) {
  const key = JSON.stringify(pairs);
  if (shown.get(id) === key) return false;
  shown.set(id, key);
  const rows = pairs.map(([term, text, kind]) => {
    const row = document.createElement("div");
    row.className = kind === "caution" ? "" : "needed";
    const dt = document.createElement("dt");
    const dd = document.createElement("dd");
    dt.textContent = term;
    dd.textContent = text;
    dd.dir = "auto";
    row.append(dt, dd);
    return row;
  });
  byId(id).replaceChildren(...rows);
  byId(id).hidden = pairs.length === 0;
  return true;
}

function putShape(id, shape) {
  if (shown.get(id) === shape) return;
  shown.set(id, shape);
  byId(id).setAttribute("href", `#shape-${shape}`);
}

// The strip is empty up to now; the present segment stands out in it.
function putStrip(index, ms) {
  const [start, end, height] = data.strip[index];
  const segment = segments[index];
  const done = Math.min(1, Math.max(0, (ms - segment.start) / (segment.end - segment.start)));
  const left = byId("strip-left");
  const x = (1000 * (start + done * (end - start))).toFixed(1);
  if (shown.get("strip") === `${index} ${x}`) return;
  shown.set("strip", `${index} ${x}`);
  left.setAttribute("x", x);
  const box = { x: 1000 * start, y: 100 - 100 * height, width: 1000 * (end - start), height: 100 * height };
  for (const id of ["strip-present", "strip-around"]) {
    for (const [name, value] of Object.entries(box)) byId(id).setAttribute(name, value.toFixed(1));
  }
}

function putPlace(parts) {
  const key = JSON.stringify(parts);
  if (shown.get("place") === key) return false;
  shown.set("place", key);
  const pieces = parts.map((text) => {
    const piece = document.createElement("span");
    piece.textContent = text;
    piece.dir = "auto";
    return piece;
  });
  byId("place").replaceChildren(...pieces);
  return true;
}

// Returns whether anything changed that may need more or less room.
function showView(view, mode) {
  const { dataset } = byId("screen");
  dataset.mode = mode;
  dataset.kind = view.kind;
  dataset.same = view.what === view.badge ? "yes" : "no";
  const changes = [
    put("badge", view.badge),
    put("what", view.what),
    put("side", view.side),
    put("how", view.how),
    putPairs("details", view.details),
    put("coming-head", view.comingHead),
    put("coming-what", view.coming),
    put("coming-how", view.comingHow),
    putPairs("coming-details", view.comingDetails),
    put("unit", view.unit),
    putPlace(view.place),
  ];
  byId("coming").hidden = view.coming === "";
  dataset.digits = String(Math.min(5, view.count.length));
  dataset.counts = view.count === "" ? "no" : "yes";
  putShape("badge-shape", view.shape);
  put("count", view.count);
  put("clock", view.clock);
  put("caption", view.caption);
  changes.push(showFigure(view.figure));
  // A strip that moves by whole seconds does not draw the eye.
  if (put("second", view.clock + view.count)) putStrip(view.index, view.ms);
  return changes.some(Boolean);
}

// The largest letters with which all words are still seen without scrolling. Where
// they would be small, the less needed words are left out first.
const SIZES = Array.from({ length: 40 }, (_, step) => 1.3 * 1.06 ** step);

const setSize = (rem) => byId("stage").style.setProperty("--what", `${rem}rem`);

function fits(rem) {
  setSize(rem);
  const box = byId("words");
  const tall = box.scrollHeight > box.clientHeight + 1
    || byId("screen").scrollHeight > document.documentElement.clientHeight + 1;
  const wide = ["what", "coming-what"].map(byId).some((line) => line.scrollWidth > line.clientWidth + 1);
  return !tall && !wide;
}

function largest(sizes) {
  let low = 0;
  let high = sizes.length - 1;
  while (low < high) {
    const middle = (low + high + 1) >> 1;
    if (fits(sizes[middle])) low = middle;
    else high = middle - 1;
  }
  return fits(sizes[low]) ? sizes[low] : 0;
}

function fit() {
  const stage = byId("stage");
  const { clientWidth: width, clientHeight: height } = document.documentElement;
  const rem = parseFloat(getComputedStyle(document.documentElement).fontSize);
  const wide = width > height;
  const most = (wide ? Math.min(height * 0.115, width * 0.06) : width * 0.1) / rem;
  const wanted = 0.6 * most;
  const sizes = SIZES.filter((size, at) => at === 0 || size <= most);
  stage.classList.add("measuring");
  let best = 0;
  for (const tight of [0, 1, 2, 3]) {
    stage.dataset.tight = tight;
    best = largest(sizes);
    if (best >= Math.min(wanted, sizes.at(-1))) break;
  }
  setSize(best || sizes[0]);
  stage.classList.remove("measuring");
  // Whoever has only keys can scroll what does not fit.
  for (const id of ["words", "before"]) {
    const box = byId(id);
    if (box.scrollHeight > box.clientHeight + 1) box.tabIndex = 0;
    else box.removeAttribute("tabindex");
  }
}

function tell(text) {
  const trouble = byId("trouble");
  trouble.textContent = text;
  trouble.hidden = text === "";
}
