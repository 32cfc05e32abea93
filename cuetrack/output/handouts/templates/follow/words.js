const data = JSON.parse(document.getElementById("class-data").textContent);
const { segments, captions, sounds, words } = data;
const byId = (id) => document.getElementById(id);

// Text that could turn the direction of what stands around it is set apart.
const TURNS = /[\u0590-\u08ff\u200e\u200f\u202a-\u202e\u2066-\u2069\ufb1d-\ufdff\ufe70-\ufeff]/u;
const apart = (text) => (TURNS.test(text) ? `\u2068${text}\u2069` : text);

function say(key, fields = {}) {
  return words[key].replace(/\{(\w+)\}/g, (whole, name) =>
    name in fields ? apart(String(fields[name])) : whole);
}

function clock(ms) {
  const seconds = Math.max(0, Math.floor(ms / 1000));
  const two = (number) => String(number).padStart(2, "0");
  const [h, m, s] = [Math.floor(seconds / 3600), Math.floor(seconds / 60) % 60, seconds % 60];
  return h ? `${h}:${two(m)}:${two(s)}` : `${m}:${two(s)}`;
}
