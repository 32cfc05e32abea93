// The desk's page: sends what is changed, shows what comes back. No framework.
import { ask, at, base, got, sendFile, status, trouble, words } from "./asking.js";
import { isChanged, keep, markTaken, movedPart, movedPiece, restore, valuesOf } from "./keeping.js";
import { follow } from "./making.js";

const board = at("class");
let version = Number(board.dataset.version);
let lengthMs = Number(board.dataset.length);
let waiting = Promise.resolve();
let startMs = 0;
let wanted = null;
const STALE = 409;
const LEAVING = "leaving";
const SETTLED_MS = 200;

// One after the other, so that each change knows the version before it.
const inTurn = (work, quiet) => {
  waiting = waiting.then(async () => {
    status(words.saving);
    try { const told = await work(); trouble(""); status(told || words.saved); return true; }
    catch (error) {
      status(words.unsaved);
      if (error.status === STALE) await refresh();
      if (error.status === STALE || !quiet || !quiet()) trouble(error.message);
      return false;
    }
  });
  return waiting;
};

const refresh = async () => { try { show(await ask("/step", { by: 0 })); } catch { /* said already */ } };

const show = (state, moved) => {
  version = state.version;
  lengthMs = state.length_ms;
  at("title").textContent = document.title = state.title;
  at("length").textContent = state.length;
  at("strip").innerHTML = state.strip;
  at("undo").disabled = !state.undo;
  at("redo").disabled = !state.redo;
  at("outside").hidden = !state.outside;
  if (document.activeElement !== at("text")) at("text").value = state.text;
  showTroubles(state.troubles);
  const kept = keep();
  at("parts").innerHTML = state.parts;
  restore(kept, moved);
  resumed(moved);
  script();
};

// What was typed while an answer was on its way stands in the new form now.
const resumed = (moved = (id) => id) => {
  for (const before of [...timers.keys()].filter((one) => !one.isConnected)) {
    clearTimeout(timers.get(before));
    timers.delete(before);
    const form = at(moved(before.id) || "");
    if (form && form.matches(".asyougo")) sendSoon(form, () => send(form, true));
  }
};

// The text has its lines numbered; a mistake is named by its line and leads there.
const showTroubles = (found) => {
  const list = at("troubles");
  const wrong = new Set(found.map((one) => one.line));
  list.replaceChildren(...found.map((one) => {
    const row = document.createElement("li");
    row.append(Object.assign(document.createElement("button"), { textContent: `${list.dataset.line} ${one.line}` }), ` ${one.what} ${one.remedy}`);
    row.firstChild.dataset.line = one.line;
    return row;
  }));
  const lines = at("text").value.split("\n").map((_, number) => `${wrong.has(number + 1) ? "▶ " : ""}${number + 1}`);
  at("lines").textContent = lines.join("\n");
};
const toLine = (number) => {
  const before = at("text").value.split("\n").slice(0, number - 1).join("\n").length;
  const start = before + (number > 1 ? 1 : 0);
  const end = at("text").value.indexOf("\n", start);
  at("text").focus();
  at("text").setSelectionRange(start, end < 0 ? at("text").value.length : end);
  at("text").scrollTop = (number - 3) * parseFloat(getComputedStyle(at("text")).lineHeight);
};
at("text").addEventListener("scroll", () => { at("lines").scrollTop = at("text").scrollTop; });

const renew = (box, html) => {
  const kept = keep(box);
  box.innerHTML = html;
  restore(kept, undefined, box);
};
let asked = 0;
const script = async () => {
  const mine = ++asked;
  await new Promise((go) => setTimeout(go, SETTLED_MS));
  if (mine !== asked) return;
  try {
    const told = await ask("/script");
    if (mine !== asked) return;
    renew(at("script"), told.script);
    renew(at("review"), told.review);
    if (at("review-told").textContent !== told.told) at("review-told").textContent = told.told;
    marks();
  } catch (error) { if (mine === asked) trouble(error.message); }
};

// What the review found is marked on the piece it was found at, the heaviest alone.
const marks = () => {
  const list = document.querySelector("ul.review");
  document.querySelectorAll("#parts .mark").forEach((one) => one.remove());
  document.querySelectorAll("[data-mark]:not([data-answered])").forEach((found) => {
    const piece = at(found.dataset.show);
    const summary = piece && piece.querySelector("summary");
    if (!summary || summary.querySelector(".mark")) return;
    const kind = found.dataset.mark;
    const told = list.dataset[`mark${kind[0].toUpperCase()}${kind.slice(1)}`];
    summary.append(Object.assign(document.createElement("span"), { className: `mark ${kind}`, textContent: told }));
  });
};

const change = (name, fields, { moved, form, quiet, told } = {}) => {
  const sent = form ? valuesOf(form) : [];
  return inTurn(async () => {
    const state = await ask("/change", { change: name, fields, version });
    markTaken(sent);
    show(state, moved);
    return told;
  }, quiet);
};
const fieldsOf = (form) => Object.fromEntries(new FormData(form));

// Typing is sent half a second after the first key that was not, and at once when a
// field or the page is left: a pause is not waited for. What makes no sense yet is told
// of when its field is left.
const timers = new Map();
const stop = (one) => { clearTimeout(timers.get(one)); timers.delete(one); };
const named = (form) => [...form.elements].filter((one) => one.name);
const changedIn = (form) => named(form).filter((one) => one.type !== "hidden" && isChanged(one));
const valuesIn = (form, changed) => Object.fromEntries(named(form).filter((one) => one.type === "hidden" || changed.includes(one)).map((one) => [one.name, one.value]));
const send = (form, typing) => {
  stop(form);
  const changed = changedIn(form);
  if (!changed.length) {
    if (form.querySelector("[aria-invalid]")) trouble("");
    unmarked(form);
    status(words.saved);
    return;
  }
  const fields = valuesIn(form, changed);
  const asking = JSON.stringify(fields);
  if (flying.get(form.id) === asking && typing) return;
  flying.set(form.id, asking);
  change(form.dataset.change, fields, { form, quiet: () => typing && at(form.id).contains(document.activeElement) })
    .then((good) => {
      flying.delete(form.id);
      if (!good && !typing) changed.forEach((one) => at(form.id).elements[one.name].setAttribute("aria-invalid", "true"));
    });
};
const flying = new Map();
const unmarked = (form) => form.querySelectorAll("[aria-invalid]").forEach((one) => one.removeAttribute("aria-invalid"));
const sendText = () => {
  stop(at("text"));
  return inTurn(async () => show(await ask("/text", { text: at("text").value, version })));
};
const sendSoon = (one, sending) => {
  status(words.unsaved);
  if (!timers.has(one)) timers.set(one, setTimeout(sending, 500));
};
document.addEventListener("input", (event) => {
  const form = event.target.closest("form.asyougo");
  if (form && event.target.type !== "file") {
    event.target.removeAttribute("aria-invalid");
    sendSoon(form, () => send(form, true));
  }
  const search = event.target.closest("form.search");
  if (search) {
    clearTimeout(finding);
    finding = setTimeout(async () => { await find(search); status(`${search.nextElementSibling.querySelectorAll("li").length} ${words.found}`); }, 300);
  }
  if (event.target === at("text")) sendSoon(at("text"), sendText);
});
// A page that is left waits for no answer.
window.addEventListener("pagehide", () => {
  for (const one of [...timers.keys()]) {
    if (one === at("text")) sendText();
    else ask("/change", { change: one.dataset.change, fields: valuesIn(one, changedIn(one)), version: LEAVING }).catch(() => {});
  }
});
document.addEventListener("keydown", (event) => {
  if (event.key !== "Enter" || !event.target.matches("form.asyougo input")) return;
  event.preventDefault();
  send(event.target.form, false);
});
document.addEventListener("change", (event) => {
  const form = event.target.closest("form.asyougo");
  if (event.target.id === "tune") { bring(event.target.files[0]); event.target.value = ""; }
  else if (form) send(form, false);
});

// Own tunes: brought from elsewhere, or those that lie in the folder already.
const bring = (file) => file && inTurn(async () => {
  show(await sendFile(`/tune?name=${encodeURIComponent(file.name)}`, file));
  return `${words.added}: ${file.name}`;
});
const addTune = (name) => change("music", { files: `${at("form-music").files.value}\n${name}` }, { told: `${words.added}: ${name}` });

// Movements are found while their words are typed; Enter takes one that has that name.
let finding = 0;
const find = async (form) => {
  clearTimeout(finding);
  const asking = new URLSearchParams({ words: form.words.value, does: form.dataset.does });
  try {
    const found = await (await got(`${base}/library?${asking}`)).text();
    const results = form.nextElementSibling;
    results.innerHTML = found;
    return results.firstElementChild.dataset.exact;
  } catch (error) { trouble(error.message); return ""; }
};
const take = (form, name) => {
  const { section, movement } = fieldsOf(form);
  change(form.dataset.does, { section, movement, name }, { told: `${words.added}: ${name}` });
};
document.addEventListener("toggle", (event) => {
  const form = event.target.matches(".finder[open]") && event.target.querySelector("form.search");
  if (form && form.words.value && !form.nextElementSibling.innerHTML) find(form);
}, true);

document.addEventListener("submit", async (event) => {
  const form = event.target;
  event.preventDefault();
  if (form.classList.contains("search")) {
    const exact = await find(form);
    if (!exact || form.dataset.does !== "add") return;
    form.words.value = form.nextElementSibling.innerHTML = "";
    take(form, exact);
  } else if (form.id === "would") {
    would(event.submitter.value);
  } else if (form.classList.contains("asyougo")) {
    send(form, false);
  } else if (form.dataset.change) {
    change(form.dataset.change, fieldsOf(form), { form });
  }
});

document.addEventListener("click", (event) => {
  const one = event.target.closest("button, rect");
  if (!one) return;
  const data = one.dataset;
  const section = Number(data.section), movement = Number(data.movement);
  if (data.move) moveTo(section, movement, movement + Number(data.move));
  else if ("remove" in data) change("remove", { section, movement }, { moved: movedPiece(section, movement, null) });
  else if (data.movepart) change("move part", { section, to: section + Number(data.movepart) }, { moved: movedPart(section, section + Number(data.movepart)) });
  else if ("removepart" in data) change("remove part", { section }, { moved: movedPart(section, null) });
  else if (data.alike) change("rounds alike", { section, line: data.alike });
  else if (data.unsay) change("unsay", { section, cue: data.unsay });
  else if (data.tune) addTune(data.tune);
  else if ("look" in data) inTurn(async () => show(await ask("/step", { by: 0 })));
  else if ("fill" in data) change("fill", { section });
  else if (data.take) take(one.closest(".finder").querySelector("form.search"), data.take);
  else if (data.mend) change("mend", { rule: data.mend, piece: data.at }).then((good) => { if (good) reveal(data.at || "whole"); });
  else if (data.line) toLine(Number(data.line));
  else if (data.show) reveal(data.show);
  else if (data.piece) { reveal(data.piece); startMs = timeOf(one); }
  else if (data.hear !== undefined) hear(Number(data.hear), data.one === "1", data.lasting);
  else if ("hearStrip" in data) hear(startMs, false);
  else if (data.settle) inTurn(async () => show(await ask("/settle", { theirs: data.settle === "theirs" })));
});
const moveTo = (section, movement, to) => change("move", { section, movement, to }, { moved: movedPiece(section, movement, to) });

const timeOf = (bar) => Math.round(lengthMs * Number(bar.getAttribute("x")) / 1000);

const reveal = (id) => {
  const one = at(id);
  if (!one) return;
  one.open = true;
  document.querySelectorAll(".bar.chosen").forEach((bar) => bar.classList.remove("chosen"));
  document.querySelectorAll(`.bar[data-piece="${id}"]`).forEach((bar) => bar.classList.add("chosen"));
  one.querySelector("summary").focus();
};

// The strip empties while a piece is heard.
const player = at("piece");
const hear = (fromMs, one, lastingMs = 60_000) => {
  status(words.wait);
  player.src = `${base}/hear?from=${fromMs}&lasting=${lastingMs}&one=${one ? 1 : 0}`;
  player.dataset.from = fromMs;
  player.play().then(() => status(""), () => {});
};
player.addEventListener("error", async () => {
  try {
    const answer = await got(player.src);
    if (!answer.ok) trouble((await answer.json()).trouble);
  } catch (error) { trouble(error.message); }
});
const empty = (nowMs) => {
  const share = 1000 * nowMs / lengthMs;
  document.querySelectorAll("#strip .bar").forEach((bar) => {
    bar.classList.toggle("past", Number(bar.getAttribute("x")) + Number(bar.getAttribute("width")) <= share);
  });
};
player.addEventListener("timeupdate", () => empty(Number(player.dataset.from) + 1000 * player.currentTime));
player.addEventListener("ended", () => empty(0));
at("player").addEventListener("timeupdate", () => empty(1000 * at("player").currentTime));

at("undo").addEventListener("click", () => inTurn(async () => show(await ask("/step", { by: -1 }))));
at("redo").addEventListener("click", () => inTurn(async () => show(await ask("/step", { by: 1 }))));
document.addEventListener("keydown", (event) => {
  if (!(event.ctrlKey || event.metaKey) || event.key.toLowerCase() !== "z") return;
  if (event.target.matches("input, textarea")) return;
  event.preventDefault();
  at(event.shiftKey ? "redo" : "undo").click();
});

// Dragging, with Earlier and Later as its twin on the keyboard.
let dragged = null;
document.addEventListener("dragstart", (event) => {
  dragged = event.target.closest("li.row[draggable]");
  if (dragged) { dragged.classList.add("dragged"); event.dataTransfer.setData("text/plain", ""); }
});
document.addEventListener("dragover", (event) => {
  const over = event.target.closest("li.row[draggable]");
  document.querySelectorAll(".row.over").forEach((row) => row.classList.remove("over"));
  if (dragged && over && over.dataset.section === dragged.dataset.section) { event.preventDefault(); over.classList.add("over"); }
});
document.addEventListener("drop", (event) => {
  const over = event.target.closest("li.row[draggable]");
  if (!dragged || !over || over === dragged) return;
  event.preventDefault();
  moveTo(Number(dragged.dataset.section), Number(dragged.dataset.movement), Number(over.dataset.movement));
});
document.addEventListener("dragend", () => {
  document.querySelectorAll(".row.over, .row.dragged").forEach((row) => row.classList.remove("over", "dragged"));
  dragged = null;
});

const would = async (kind) => {
  const form = at("would");
  const heads = [...at("changes").tHead.rows[0].cells].map((one) => one.textContent);
  wanted = { kind, slot: form.minutes.value, weeks: form.weeks.value.trim(), away: form.away.value };
  status(words.wait);
  try {
    const told = await ask("/would", wanted);
    trouble("");
    status("");
    const rows = told.changes.length ? told.changes : [[form.dataset.nothing, "", ""]];
    at("changes").tBodies[0].replaceChildren(...rows.map((row) => {
      const line = document.createElement("tr");
      const kind = row[1] || row[2] ? "td" : "th";
      line.append(...(kind === "th" ? [row[0]] : row).map((text, column) => {
        const cell = Object.assign(document.createElement(kind), { textContent: text, colSpan: kind === "th" ? 3 : 1 });
        if (column) cell.dataset.head = heads[column];
        return cell;
      }));
      return line;
    }));
    at("do").hidden = told.several || !told.changes.length;
    at("do-beside").hidden = !told.changes.length;
    at("do-beside").textContent = at("do-beside").dataset[told.several ? "several" : "one"];
    at("would-be").hidden = false;
    at("would-head").focus();
  } catch (error) { status(""); trouble(error.message); at("would-be").hidden = true; }
};
const leaveIt = () => { at("would-be").hidden = true; at("would").querySelector("button").focus(); };
at("do-not").addEventListener("click", leaveIt);
at("do").addEventListener("click", () => inTurn(async () => {
  show(await ask("/would", { ...wanted, do: "here" }));
  leaveIt();
}));
at("do-beside").addEventListener("click", () => inTurn(async () => {
  const told = await ask("/would", { ...wanted, do: "beside" });
  leaveIt();
  const list = document.createElement("ul");
  list.append(...told.classes.map((one) => {
    const row = document.createElement("li");
    row.append(Object.assign(document.createElement("a"), { href: `/class/${one.id}`, textContent: one.title }));
    return row;
  }));
  at("new-classes").replaceChildren(Object.assign(document.createElement("p"), { textContent: words.newClasses }), list);
  list.querySelector("a").focus();
}));

const make = async (film) => {
  await waiting;
  try { await ask("/make", { film }); trouble(""); follow(); } catch (error) { trouble(error.message); }
};
at("make").addEventListener("click", () => make(false));
at("make-film").addEventListener("click", () => make(true));

showTroubles([]);
script();
follow();
