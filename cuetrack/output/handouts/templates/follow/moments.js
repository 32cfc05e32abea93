// Where a moment of the track lies, and where it is good to go on from.
// Rows are in order of time; `startOf` tells when a row starts.
function lastStarted(rows, ms, startOf) {
  let low = 0;
  let high = rows.length;
  while (low < high) {
    const middle = (low + high) >> 1;
    if (startOf(rows[middle]) <= ms) low = middle + 1;
    else high = middle;
  }
  return low - 1;
}

const segmentAt = (ms) => Math.max(0, lastStarted(segments, ms, (row) => row.start));

function captionAt(ms) {
  const row = captions[lastStarted(captions, ms, ([start]) => start)];
  return row && ms < row[1] ? row[2] : "";
}

const JUST_BEGUN_MS = 3000;
const BREATH_MS = 250;

// After a pause: a movement just begun is led into again, a word or a count that
// was cut off is heard again whole, else the class goes on where it stopped.
function restartFrom(ms) {
  const segment = segments[segmentAt(ms)];
  if (segment.moving && ms - segment.start < JUST_BEGUN_MS) return segment.landing;
  const index = lastStarted(sounds, ms, ([start]) => start);
  const sound = sounds[index];
  if (!sound || sound[1] <= ms) return ms;
  const quietFrom = index > 0 ? sounds[index - 1][1] : 0;
  return Math.max(quietFrom, segment.start, sound[0] - BREATH_MS);
}

// The segment that is being led into counts as the present one for back and
// forward, so that two presses go two segments on.
const NEAR_START_MS = 4000;

function backFrom(ms, aim) {
  const index = aim ?? segmentAt(ms);
  return ms - segments[index].landing > NEAR_START_MS ? index : Math.max(0, index - 1);
}

const forwardFrom = (ms, aim) => Math.min(segments.length - 1, (aim ?? segmentAt(ms)) + 1);

// A part chosen from the list starts with the rest in which it is shown.
function showingOf(index) {
  const before = segments[index - 1];
  const shown = before && ["rest", "opening"].includes(before.kind);
  return shown ? index - 1 : index;
}
