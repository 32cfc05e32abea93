// What is to be seen at a moment, as plain values; nothing here touches the page.
function titleOf(segment) {
  if (segment.movement) return segment.movement;
  if (segment.kind === "opening" || segment.kind === "welcome") return segment.section;
  return words[`kind ${segment.kind}`];
}

function nameOf(segment) {
  const title = titleOf(segment);
  return segment.side ? say("with side", { movement: title, side: segment.side }) : title;
}

const nextMover = (index) => segments.findIndex((row, at) => at > index && row.movement);

function comingAfter(index) {
  const next = segments[index + 1];
  if (!next) return words["the end"];
  const mover = segments[nextMover(index)];
  if (next.movement || !mover) return nameOf(next);
  return say("then", { first: titleOf(next), second: nameOf(mover) });
}

const LABELS = { equipment: "need", easier: "easier", caution: "care" };

// Each with its kind: care is the last to be left out where there is no room.
function detailsOf(segment, kinds = ["equipment", "easier", "caution"]) {
  return kinds.filter((kind) => segment[kind])
    .map((kind) => [words[LABELS[kind]], segment[kind], kind]);
}

function countOf(ms) {
  const seconds = Math.max(0, Math.ceil(ms / 1000));
  if (seconds >= 60) return { count: clock(seconds * 1000), unit: words["minutes left"] };
  return { count: String(seconds), unit: words[seconds === 1 ? "second left" : "seconds left"] };
}

function placeOf(segment) {
  const parts = [segment.section];
  if (segment.round) {
    const rounds = segment.rounds ?? segment.round;
    parts.push(say("round", { round: segment.round, rounds }));
  }
  if (segment.movement && segment.position) {
    parts.push(say("position", { position: segment.position, positions: segment.positions }));
  }
  return parts;
}

// Which figure shows a segment: one at work moves; what is coming stands still, as
// positions with arrows; where nobody moves it sits.
function figureOf(segment, mover, ms) {
  const about = mover ?? segment;
  if (about.figure === null) {
    return segment.movement || mover ? null : { as: "sitting", figure: data.sitting, ms: 0 };
  }
  const shared = { figure: about.figure, mirrored: about.mirrored };
  return mover
    ? { ...shared, as: "positions", ms: 0 }
    : { ...shared, as: "moving", moving: true, ms };
}

function segmentView(ms) {
  const index = segmentAt(ms);
  const segment = segments[index];
  const shows = segment.kind === "rest" || segment.kind === "opening";
  const mover = shows ? segments[nextMover(index)] : null;
  return {
    kind: segment.kind,
    shape: segment.kind,
    badge: words[`kind ${segment.kind}`],
    what: titleOf(segment),
    side: segment.side ?? "",
    how: segment.kind === "rest" ? words.feet : segment.how ?? "",
    details: detailsOf(segment, ["easier", "caution"]),
    comingHead: words.next,
    comingTold: Boolean(mover),
    coming: mover ? nameOf(mover) : comingAfter(index),
    comingHow: mover?.how ?? "",
    comingDetails: mover ? detailsOf(mover) : [],
    ...countOf(segment.end - ms),
    figure: figureOf(segment, mover, ms - segment.start),
    place: placeOf(segment),
    clock: say("clock", { done: clock(ms), total: clock(data.end) }),
    index,
    ms,
    caption: captionAt(ms),
  };
}

const easyMovement = segments.find((row) => row.kind === "recovery" && row.movement);

function holdView(ms, heldMs) {
  const here = segments[segmentAt(ms)];
  return {
    ...segmentView(ms),
    kind: "holding",
    shape: "holding",
    badge: words["on hold"],
    what: words.feet,
    side: "",
    how: easyMovement?.how ?? words["easy movement"],
    details: [],
    comingHead: words["back to"],
    coming: nameOf(here),
    comingHow: "",
    comingDetails: [],
    count: clock(heldMs),
    unit: words["held for"],
    figure: { as: "moving", moving: true, figure: data.easy, ms: heldMs },
    caption: words["paused hint"],
  };
}

// `state` has mode, ms, and what the mode needs: heldMs, or the steps left to count.
function viewOf(state) {
  const view = segmentView(state.ms);
  switch (state.mode) {
    case "paused":
      return { ...view, shape: "paused", badge: words.paused, caption: words["paused hint"] };
    case "counting":
      return { ...view, shape: "opening", badge: words.count, count: String(state.steps), unit: words["count left"], caption: "" };
    case "holding":
      return holdView(state.ms, state.heldMs);
    case "ended":
      return {
        ...view, kind: "close", shape: "done", badge: words.finished, what: data.goodbye,
        side: "", how: data.thanks, details: [], coming: "", comingHow: "", comingDetails: [],
        count: "", unit: "", place: [], ms: data.end, caption: "",
        figure: { as: "sitting", figure: data.sitting, ms: 0 },
      };
    default:
      return view;
  }
}

function announcementOf(view, length) {
  const what = view.side ? say("with side", { movement: view.what, side: view.side }) : view.what;
  const now = view.badge === view.what
    ? say("announce kind", { kind: view.badge, length })
    : say("announce", { kind: view.badge, what, length });
  return view.comingTold ? `${now} ${words.next}: ${view.coming}` : now;
}
