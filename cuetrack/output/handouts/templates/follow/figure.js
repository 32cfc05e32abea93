// The moving figure, drawn from key frames as the plan's own pictures are: parts from
// the farthest to the nearest, each with a line around and a strip of paper around that.
const EDGE = 8.5;
const HALO = 11;
const ARC_STEP = Math.PI / 12;
const canvas = byId("canvas");
const pen = canvas.getContext("2d");
let palette = data.colours.light;
let drawn = "";

// The frame at a phase from 0 to 1: numbers between two frames of one make-up.
function frameAt(figure, phase) {
  const { frames } = figure;
  const at = Math.max(0, lastStarted(frames, phase, ([start]) => start));
  const [start, makeUp, numbers] = frames[at];
  const [nextStart, nextMakeUp, nextNumbers] = frames[(at + 1) % frames.length];
  const end = at + 1 < frames.length ? nextStart : nextStart + 1;
  const share = (phase - start) / (end - start);
  if (makeUp !== nextMakeUp) return { makeUp, numbers };
  return { makeUp, numbers: numbers.map((value, i) => value + (nextNumbers[i] - value) * share) };
}

function partsOf(figure, { makeUp, numbers }) {
  const parts = figure.makeUps[makeUp];
  let at = parts.length;
  return parts.map(([edge, halo, hulls], index) => ({
    depth: numbers[index],
    edge,
    halo,
    hulls: hulls.map(([fill, count]) => {
      const discs = [];
      for (let disc = 0; disc < count; disc += 1, at += 3) {
        discs.push([numbers[at], -numbers[at + 1], numbers[at + 2]]);
      }
      return { fill, discs };
    }),
  })).sort((one, other) => one.depth - other.depth);
}

function paint(hulls, by, colour) {
  for (const hull of hulls) {
    pen.fillStyle = colour ?? palette[hull.fill];
    pen.beginPath();
    trace(hull.discs.map(([x, y, radius]) => [x, y, radius + by]));
    pen.fill();
  }
}

function trace(discs) {
  if (discs.length === 1) {
    pen.arc(...discs[0], 0, 2 * Math.PI);
    return;
  }
  outline(discs).forEach(([x, y], index) => (index ? pen.lineTo(x, y) : pen.moveTo(x, y)));
  pen.closePath();
}

// The convex hull of points on the rims of the discs (Andrew's monotone chain).
function outline(discs) {
  const points = discs.flatMap(([x, y, radius]) => Array.from({ length: 24 }, (_, step) =>
    [x + radius * Math.cos(step * ARC_STEP), y + radius * Math.sin(step * ARC_STEP)]));
  points.sort((a, b) => a[0] - b[0] || a[1] - b[1]);
  const turn = (a, b, c) => (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0]);
  const chain = (ranked) => {
    const found = [];
    for (const point of ranked) {
      while (found.length > 1 && turn(found[found.length - 2], found[found.length - 1], point) <= 0) found.pop();
      found.push(point);
    }
    found.pop();
    return found;
  };
  return [...chain(points), ...chain(points.reverse())];
}

function drawFigure(figure, phase, mirrored) {
  const key = [data.figures.indexOf(figure), phase.toFixed(3), mirrored, canvas.clientWidth,
    canvas.clientHeight, palette[0]].join();
  if (key === drawn || !canvas.clientWidth) return;
  drawn = key;
  const ratio = Math.min(2, window.devicePixelRatio || 1);
  const width = Math.round(canvas.clientWidth * ratio);
  const height = Math.round(canvas.clientHeight * ratio);
  if (canvas.width !== width) canvas.width = width;
  if (canvas.height !== height) canvas.height = height;
  const [left, low, right, high] = figure.window;
  const scale = Math.min(width / (right - left), height / (high - low));
  const paper = getComputedStyle(canvas).getPropertyValue("--paper").trim() || palette[0];
  pen.setTransform(1, 0, 0, 1, 0, 0);
  pen.fillStyle = paper;
  pen.fillRect(0, 0, width, height);
  pen.setTransform(mirrored ? -scale : scale, 0, 0, scale, width / 2, height / 2);
  pen.translate(-(left + right) / 2, (low + high) / 2);
  for (const part of partsOf(figure, frameAt(figure, phase))) {
    if (part.edge !== null) {
      if (part.halo) paint(part.hulls, EDGE + HALO, paper);
      paint(part.hulls, EDGE, part.edge === 0 ? paper : palette[part.edge]);
    }
    paint(part.hulls, 0);
  }
}

// What `showing` asks for: positions with arrows, a moving figure, or one sitting still.
const FRAME_MS = 66;
const still = window.matchMedia("(prefers-reduced-motion: reduce)");
let lastDrawnAt = -FRAME_MS;

const figureMoves = () => choiceOf("figure") !== "still" && !still.matches;

function showFigure(showing) {
  const box = byId("figure");
  const figure = showing && data.figures[showing.figure];
  const kind = !figure ? "nothing" : showing.moving && !figureMoves() ? "positions" : showing.as;
  const solid = kind === "positions" && showing.as !== "positions";
  const changed = put("figure-key", [kind, showing?.figure, showing?.mirrored, solid].join());
  if (changed) {
    box.dataset.shows = kind;
    box.dataset.now = solid ? "yes" : "no";
    byId("positions").classList.toggle("left-side", Boolean(showing?.mirrored));
    const drawing = kind === "positions" ? byId(`drawing-${figure.drawing}`).firstElementChild : null;
    byId("positions").replaceChildren(...(drawing ? [drawing.cloneNode(true)] : []));
    drawn = "";
  }
  if (!figure || kind === "positions") return changed;
  const now = performance.now();
  if (!changed && drawn && now - lastDrawnAt < FRAME_MS) return changed;
  lastDrawnAt = now;
  drawFigure(figure, (Math.max(0, showing.ms) / figure.cycle) % 1, showing.mirrored);
  return changed;
}
