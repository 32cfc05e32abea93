// What the leader sees and has typed stays when the pieces are shown anew.
const parts = document.getElementById("parts");
const FIELDS = "input:not([type=hidden], [type=file]), textarea, select";

const usual = (field) => field.tagName === "SELECT"
  ? ([...field.options].find((one) => one.defaultSelected) || field.options[0]).value
  : field.defaultValue;
export const isChanged = (field) => field.value !== usual(field);

const keyOf = (one) => {
  if (one.matches("summary")) return `${one.parentElement.id}|summary`;
  if (one.name) return `${one.form.id}|${one.name}`;
  const home = one.closest("[id]");
  return `${home ? home.id : ""}|${one.dataset.take || one.dataset.hear || one.textContent.trim()}`;
};
const byKey = (root) => new Map([...root.querySelectorAll(`${FIELDS}, button, summary`)].map((one) => [keyOf(one), one]));

// Fields whose value the class has taken are no longer the page's own.
const taken = new Map();
export const valuesOf = (form) => [...form.querySelectorAll(FIELDS)].map((field) => [keyOf(field), field.value]);
export const markTaken = (values) => values.forEach(([key, value]) => taken.set(key, value));

export const keep = (root = parts) => {
  const focus = document.activeElement;
  const inside = root.contains(focus);
  const typed = [...root.querySelectorAll(FIELDS)].filter((one) => isChanged(one) && taken.get(keyOf(one)) !== one.value);
  const kept = {
    open: [...root.querySelectorAll("details[open]")].map((one) => one.id),
    typed: typed.map((one) => [keyOf(one), one.value, one.getAttribute("aria-invalid")]),
    found: [...root.querySelectorAll(".results")].filter((one) => one.innerHTML).map((one) => [one.id, one.innerHTML]),
    focus: inside ? keyOf(focus) : "",
    caret: inside && focus.matches("input, textarea") ? [focus.selectionStart, focus.selectionEnd] : null,
  };
  if (root === parts) taken.clear();
  return kept;
};

// ``moved`` tells where what had an id stands now; null where it is gone.
export const restore = (kept, moved = (id) => id, root = parts) => {
  const now = (key) => {
    const [id, ...rest] = key.split("|");
    const to = moved(id);
    return to === null ? null : [to, ...rest].join("|");
  };
  kept.open.map(moved).forEach((id) => { const one = id && document.getElementById(id); if (one) one.open = true; });
  kept.found.forEach(([id, html]) => { const one = document.getElementById(moved(id) || ""); if (one) one.innerHTML = html; });
  const all = byKey(root);
  kept.typed.forEach(([key, value, invalid]) => {
    const one = all.get(now(key));
    if (!one) return;
    one.value = value;
    if (invalid) one.setAttribute("aria-invalid", invalid);
  });
  const focus = kept.focus && all.get(now(kept.focus));
  if (!focus) return;
  (focus.disabled ? focus.closest("details").querySelector("summary") : focus).focus({ preventScroll: true });
  if (kept.caret) { try { focus.setSelectionRange(...kept.caret); } catch { /* no text field */ } }
};

// Where pieces stand after one was moved, taken out (to null) or a part was.
const shifted = (number, from, to) => {
  if (number === from) return to;
  if (to === null) return number > from ? number - 1 : number;
  if (from < number && number <= to) return number - 1;
  return to <= number && number < from ? number + 1 : number;
};
export const movedPiece = (section, from, to) => (id) => {
  const found = /^(.*(?:piece|swap|more)-)(\d+)-(\d+)$/.exec(id);
  if (!found || Number(found[2]) !== section) return id;
  const number = shifted(Number(found[3]), from, to);
  return number === null ? null : `${found[1]}${section}-${number}`;
};
export const movedPart = (from, to) => (id) => {
  const found = /^(\D*)(\d+)((?:-.*)?)$/.exec(id);
  if (!found) return id;
  const number = shifted(Number(found[2]), from, to);
  return number === null ? null : `${found[1]}${number}${found[3]}`;
};
