const shown = new Map();

// The page is written to only where it changes.
function put(id, text) {
  if (shown.get(id) === text) return false;
  shown.set(id, text);
  const element = byId(id);
  element.textContent = text;
  if (element.tagName === "P") element.hidden = text === "";
  return true;
}

function putPairs(id, pairs) {
  const key = JSON.stringify(pairs);
  if (shown.get(id) === key) return false;
  shown.set(id, key);
  const rows = pairs.map(([term, text]) => {
    const row = document.createElement("div");
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

function putShare(id, share) {
  const width = `${(Math.min(1, Math.max(0, share)) * 100).toFixed(1)}%`;
  if (shown.get(id) === width) return;
  shown.set(id, width);
  byId(id).style.inlineSize = width;
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
  // A bar that moves by whole seconds does not draw the eye.
  if (changes.some(Boolean) || shown.get("second") !== view.clock + view.count) {
    shown.set("second", view.clock + view.count);
    putShare("stretch", view.share);
    putShare("course", view.course);
  }
  return changes.some(Boolean);
}

// The largest letters with which the whole screen is still seen without scrolling.
const SIZES = Array.from({ length: 60 }, (_, step) => 1.75 * 1.06 ** step);

const setSize = (rem) => byId("stage").style.setProperty("--what", `${rem}rem`);

function fits(rem) {
  setSize(rem);
  const tall = byId("screen").getBoundingClientRect().height > document.documentElement.clientHeight;
  const wide = ["what", "coming-what"].map(byId).some((line) => line.scrollWidth > line.clientWidth + 1);
  return !tall && !wide;
}

function fit() {
  const stage = byId("stage");
  stage.classList.add("measuring");
  let low = 0;
  let high = SIZES.length - 1;
  while (low < high) {
    const middle = (low + high + 1) >> 1;
    if (fits(SIZES[middle])) low = middle;
    else high = middle - 1;
  }
  setSize(SIZES[low]);
  stage.classList.remove("measuring");
}

function tell(text) {
  const trouble = byId("trouble");
  trouble.textContent = text;
  trouble.hidden = text === "";
}
