// The first source keeps the time; a second one, the music, follows it.
const media = byId("media");
const bed = data.sources.length > 1 ? document.createElement("audio") : null;
const LARGEST_DRIFT_S = 0.08;

// Megabytes pass through here on small phones: a plain loop is ten times as fast
// as a function for each byte.
function bytesOf(base64) {
  if (Uint8Array.fromBase64) return Uint8Array.fromBase64(base64);
  const letters = atob(base64);
  const bytes = new Uint8Array(letters.length);
  for (let at = 0; at < letters.length; at += 1) bytes[at] = letters.charCodeAt(at);
  return bytes;
}

// The plain player holds the track; what is played in its place stands by itself.
function addressOf(source) {
  if (source.url !== null) return source.url;
  const holder = byId(`sound-${source.role}`);
  const base64 = holder ? holder.textContent : media.getAttribute("src").split(",")[1];
  const bytes = bytesOf(base64);
  holder?.remove();
  return URL.createObjectURL(new Blob([bytes], { type: source.type }));
}

function loadSound() {
  byId("said").append(media);
  media.controls = false;
  media.tabIndex = -1;
  [media, bed].forEach((element, index) => {
    if (!element) return;
    const source = data.sources[index];
    element.preload = "auto";
    element.addEventListener("error", tellOfSound);
    element.src = addressOf(source);
  });
}

// Tells of a sound that cannot be played, or takes back what was told before.
function tellOfSound() {
  const lost = [media, bed].findIndex((element) => element?.error);
  const name = lost < 0 ? null : data.sources[lost].name;
  if (lost < 0) tell("");
  else if (silent) tell(words["no output"]); // Some then play nothing, and call it an error.
  else tell(name === null ? words["no decoder"] : say("no sound", { file: name }));
}

// A device without a loudspeaker is told of, where the browser knows: one that lets a
// page choose among outputs lists them, if there is any.
let silent = false;

async function tellOfOutput() {
  if (!("setSinkId" in media) || !navigator.mediaDevices?.enumerateDevices) return;
  try {
    const devices = await navigator.mediaDevices.enumerateDevices();
    silent = devices.every(({ kind }) => kind !== "audiooutput");
    if (silent) tell(words["no output"]);
    else if (byId("trouble").textContent === words["no output"]) tell("");
  } catch {
    // Not allowed to look: nothing is known, and nothing said.
  }
}

// The sound was asked for, and its clock stands still.
const STUCK_MS = 4000;
let stuckTimer = 0;

function watchForStuck() {
  clearTimeout(stuckTimer);
  const from = media.currentTime;
  stuckTimer = setTimeout(() => {
    if (!media.paused && media.currentTime === from && !media.error) tell(words["sound stands"]);
  }, STUCK_MS);
}

const nowMs = () => media.currentTime * 1000;

function goTo(ms) {
  media.currentTime = ms / 1000;
  if (bed) bed.currentTime = ms / 1000;
}

function startSound() {
  if (bed) {
    bed.loop = false;
    bed.currentTime = media.currentTime;
    bed.play().catch(() => {});
  }
  watchForStuck();
  return media.play();
}

function stopSound() {
  media.pause();
  bed?.pause();
}

// The music of a hold plays on by itself until people are back in the class.
function startHoldMusic() {
  if (!bed) return;
  bed.loop = true;
  bed.play().catch(() => {});
}

function keepTogether() {
  if (!bed || media.paused || media.seeking || bed.seeking) return;
  if (bed.ended || bed.readyState < 2) return;
  if (Math.abs(bed.currentTime - media.currentTime) > LARGEST_DRIFT_S) {
    bed.currentTime = media.currentTime;
  }
}

// Some phones let nothing but a touch start a sound; what is played once in a
// touch may be started by the page later.
let unlocked = false;

function unlock() {
  if (unlocked) return;
  unlocked = true;
  for (const element of [media, bed]) {
    if (!element) continue;
    element.play().catch(() => {});
    element.pause();
  }
  tones = window.AudioContext ? new AudioContext() : null;
}

let tones = null;
const TICK_S = 0.12;

// A short rise, like the ticks of the track, low enough for older ears.
function tick() {
  if (!tones) return;
  tones.resume();
  const at = tones.currentTime + 0.02;
  const wave = tones.createOscillator();
  const level = tones.createGain();
  wave.type = "triangle";
  wave.frequency.setValueAtTime(620, at);
  wave.frequency.linearRampToValueAtTime(1000, at + TICK_S);
  level.gain.setValueAtTime(0, at);
  level.gain.linearRampToValueAtTime(0.4, at + 0.015);
  level.gain.setValueAtTime(0.4, at + TICK_S - 0.015);
  level.gain.linearRampToValueAtTime(0, at + TICK_S);
  wave.connect(level).connect(tones.destination);
  wave.start(at);
  wave.stop(at + TICK_S);
}

const canKeepAwake = "wakeLock" in navigator;
let awake = null;
let wantsAwake = false;

async function keepAwake(wanted) {
  wantsAwake = wanted;
  if (!canKeepAwake) return;
  if (!wanted) {
    awake?.release();
    awake = null;
  } else if (document.visibilityState === "visible" && (!awake || awake.released)) {
    try {
      const lock = await navigator.wakeLock.request("screen");
      if (wantsAwake) awake = lock;
      else lock.release();
    } catch {
      awake = null; // The battery may be too low; the class goes on without.
    }
  }
}

document.addEventListener("visibilitychange", () => keepAwake(wantsAwake));
