// What the browser keeps for the next time, where it keeps anything: the choices of
// whoever watches, and the place in this class.
const PLACE = `cuetrack place ${data.id}`;
const CHOICES = "cuetrack choices";
const KEPT_MS = 12 * 60 * 60 * 1000;
const WORTH_KEEPING_MS = 5000;

function kept(key) {
  try {
    return JSON.parse(localStorage.getItem(key));
  } catch {
    return null;
  }
}

function keep(key, value) {
  try {
    localStorage.setItem(key, JSON.stringify(value));
  } catch {
    // Some browsers keep nothing for a file, or in private; all else works.
  }
}

const choices = { ...kept(CHOICES) };
const choiceOf = (name) => choices[name];

function choose(name, value) {
  choices[name] = value;
  keep(CHOICES, choices);
}

function keptPlace() {
  const place = kept(PLACE);
  const usable = place && Date.now() - place.at < KEPT_MS
    && place.ms > WORTH_KEEPING_MS && place.ms < data.end - WORTH_KEEPING_MS;
  return usable ? place.ms : null;
}

const keepPlace = (ms) => keep(PLACE, { ms: Math.round(ms), at: Date.now() });
