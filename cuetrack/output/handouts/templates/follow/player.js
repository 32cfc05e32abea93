// ready -> playing <-> paused, holding; counting leads back to playing; ended.
const COUNT_STEPS = 3;
const state = { mode: "ready", ms: 0, steps: 0, heldMs: 0 };
let aim = null; // the segment being led into
let heldSince = 0;
let countTimer = 0;
let announced = "";

const running = () => state.mode === "playing";

function setMode(mode) {
  clearTimeout(countTimer);
  state.mode = mode;
  if (mode === "paused" || mode === "holding") keepPlace(state.ms);
  if (mode === "ended") keepPlace(0);
  keepAwake(["playing", "counting", "holding"].includes(mode));
  refresh();
}

function playFrom(ms) {
  if (Math.abs(nowMs() - ms) > 1) goTo(ms);
  state.ms = ms;
  setMode("playing");
  startSound().catch((error) => {
    // A new order may overtake the last one; that is no trouble.
    if (error.name === "AbortError" || !running()) return;
    setMode("paused");
    if (media.error) tellOfSound();
    else tell(words["press again"]);
  });
}

// Whoever is to move is counted in, unless the track is about to do so itself.
function goOn(ms) {
  unlock();
  tellOfSound();
  const segment = segments[segmentAt(ms)];
  stopSound();
  goTo(ms);
  state.ms = ms;
  if (!segment.moving) playFrom(ms);
  else count(COUNT_STEPS, ms);
}

function count(steps, ms) {
  setMode("counting");
  const step = (left) => {
    if (left === 0) {
      playFrom(ms);
      return;
    }
    state.steps = left;
    tick();
    refresh();
    countTimer = setTimeout(step, 1000, left - 1);
  };
  step(steps);
}

function pause() {
  stopSound();
  state.ms = nowMs();
  setMode("paused");
}

// After a reload the first press goes on where the class was.
const place = keptPlace();

function playOrPause() {
  if (state.mode === "ready" && place !== null) {
    goOn(restartFrom(place));
    return;
  }
  if (state.mode === "playing" || state.mode === "counting") pause();
  else if (state.mode === "ended") jumpTo(0, true);
  else goOn(restartFrom(state.ms));
}

function holdOrReturn() {
  if (state.mode === "holding") {
    goOn(restartFrom(state.ms));
    return;
  }
  if (state.mode === "ended") return;
  unlock();
  media.pause();
  state.ms = nowMs();
  heldSince = performance.now();
  state.heldMs = 0;
  startHoldMusic();
  setMode("holding");
}

// In a pause or a hold only the place changes, and waits until people go on.
function jumpTo(index, play = state.mode === "playing" || state.mode === "counting") {
  const segment = segments[index];
  aim = index;
  if (play) {
    goOn(segment.landing);
    return;
  }
  media.currentTime = segment.landing / 1000;
  state.ms = segment.landing;
  if (state.mode !== "holding") setMode("paused");
  else refresh();
}

function placeNow() {
  return running() ? nowMs() : state.ms;
}

const back = () => jumpTo(backFrom(placeNow(), currentAim()));

function forward() {
  if (state.mode === "ended") return;
  const here = currentAim() ?? segmentAt(placeNow());
  if (here < segments.length - 1) jumpTo(forwardFrom(placeNow(), currentAim()));
}

function currentAim() {
  if (aim === null) return null;
  const ms = placeNow();
  const { landing, start } = segments[aim];
  if (ms < landing - 1 || ms >= start) aim = null;
  return aim;
}

function refresh() {
  if (running()) state.ms = Math.min(nowMs(), data.end);
  if (state.mode === "holding") state.heldMs = performance.now() - heldSince;
  const view = viewOf(state);
  const changes = [showButtons(), showView(view, state.mode)];
  if (changes.some(Boolean)) fit();
  announce(view);
  showPart(segmentAt(state.ms));
}

function announce(view) {
  if (state.mode === "ready") return;
  const index = segmentAt(state.ms);
  const key = `${state.mode === "counting" ? "playing" : state.mode} ${index}`;
  if (key === announced) return;
  announced = key;
  const short = state.mode !== "playing" && state.mode !== "counting";
  byId("announce").textContent = short
    ? `${view.badge}. ${view.what}`
    : announcementOf(view, segments[index].length);
}

// Which buttons there are: on a hold there is one way on, and before the start another.
const BUTTONS = {
  ready: ["play", "list"],
  playing: ["back", "play", "forward", "hold", "list"],
  counting: ["back", "play", "forward", "hold", "list"],
  paused: ["back", "play", "forward", "hold", "list"],
  holding: ["hold"],
  ended: ["play", "list"],
};

function playWord() {
  if (state.mode === "ready" && place !== null) return say("go on from", { time: clock(place) });
  const word = { ready: "start", ended: "start again", playing: "pause", counting: "pause" };
  return words[word[state.mode] ?? "play"];
}

function showButtons() {
  const plays = state.mode === "playing" || state.mode === "counting";
  putShape("play-shape", plays ? "paused" : "play");
  const offered = BUTTONS[state.mode];
  for (const id of ["back", "play", "forward", "hold", "list"]) byId(id).hidden = !offered.includes(id);
  byId("anew").hidden = state.mode !== "ready" || place === null;
  byId("play").parentElement.hidden = !offered.includes("play");
  byId("hold").classList.toggle("main", state.mode === "holding");
  const changes = [
    put("play-word", playWord()),
    put("hold-word", words[state.mode === "holding" ? "end hold" : "hold"]),
  ];
  return changes.some(Boolean);
}

const KEEP_EVERY_MS = 3000;
let keptAt = 0;

function frame() {
  if (running() || state.mode === "holding") {
    keepTogether();
    refresh();
    if (running() && performance.now() - keptAt > KEEP_EVERY_MS) {
      keptAt = performance.now();
      keepPlace(state.ms);
    }
  }
  requestAnimationFrame(frame);
}

media.addEventListener("timeupdate", () => running() && refresh());
media.addEventListener("seeked", () => {
  if (state.mode !== "paused") return;
  state.ms = nowMs();
  refresh();
});
media.addEventListener("ended", () => {
  state.ms = data.end;
  bed?.pause();
  setMode("ended");
});
// Another program, a headset or a call may stop the sound.
media.addEventListener("pause", () => {
  if (running() && !media.ended && media.paused) pause();
});
