// The desk's page: sends what is changed, shows what comes back. No framework.
const at = (id) => document.getElementById(id);
const board = at("class");
const base = `/class/${board.dataset.id}`;
const words = at("status").dataset;
let version = Number(board.dataset.version);
let lengthMs = Number(board.dataset.length);
let waiting = Promise.resolve();
let startMs = 0;
let wanted = null;

const ask = async (path, body) => {
  const content = JSON.stringify(body);
  const answer = await fetch(base + path, body === undefined ? {} : {
    method: "POST", headers: { "content-type": "application/json" }, body: content,
    keepalive: content.length < 20_000, // what is typed last is sent also when the page is left; browsers allow 64 kB
  });
  const told = await answer.json();
  if (!answer.ok) throw new Error(told.trouble || answer.statusText);
  return told;
};

const trouble = (text) => { at("trouble").textContent = text; at("trouble").hidden = !text; };
const status = (text) => { at("status").textContent = text; };

// One after the other, so that each change knows the version before it.
const inTurn = (work) => {
  waiting = waiting.then(async () => {
    status(words.saving);
    try { await work(); trouble(""); status(words.saved); }
    catch (error) { trouble(error.message); status(words.unsaved); await refresh(); }
  });
  return waiting;
};

const refresh = async () => { try { show(await ask("/step", { by: 0 })); } catch { /* said already */ } };

const openIds = () => [...document.querySelectorAll("#parts details[open]")].map((one) => one.id);

const show = (state) => {
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
  const open = openIds();
  const focus = document.activeElement;
  const held = focus && at("parts").contains(focus) ? marked(focus) : null;
  at("parts").innerHTML = state.parts;
  open.forEach((id) => { const one = at(id); if (one) one.open = true; });
  if (held) {
    refocus(held, focus);
    if (timers.has(held.form)) resumed(held.form);
  }
  script();
};

const marked = (one) => {
  const form = one.closest("form, .buttons");
  const home = one.closest("details");
  const all = [...home.querySelectorAll("input, textarea, select, button")];
  return { home: home.id, index: all.indexOf(one), form, start: one.selectionStart, end: one.selectionEnd, typed: one.value };
};

const refocus = (held, before) => {
  const home = at(held.home);
  if (!home) return;
  const one = [...home.querySelectorAll("input, textarea, select, button")][held.index];
  if (!one || one.name !== before.name) return;
  if ("value" in one && one.tagName !== "BUTTON") one.value = held.typed;
  one.focus({ preventScroll: true });
  if (held.start !== undefined && held.start !== null && one.setSelectionRange) {
    try { one.setSelectionRange(held.start, held.end); } catch { /* not a text field */ }
  }
};

// What was typed while an answer was on its way stands in the new form now.
const resumed = (before) => {
  const form = document.activeElement.closest("form.asyougo");
  if (!form) return;
  clearTimeout(timers.get(before));
  timers.delete(before);
  sendSoon(form, () => send(form));
};

const showTroubles = (found) => {
  const list = at("troubles");
  list.replaceChildren(...found.map((one) => {
    const row = document.createElement("li");
    row.textContent = `${list.dataset.line} ${one.line}: ${one.what} ${one.remedy}`;
    return row;
  }));
};

let asked = 0;
const script = async () => {
  const mine = ++asked;
  try {
    const told = await ask("/script");
    if (mine !== asked) return;
    at("script").innerHTML = told.script;
    at("review").innerHTML = told.review;
  } catch (error) { if (mine === asked) trouble(error.message); }
};

const change = (name, fields) => inTurn(async () => show(await ask("/change", { change: name, fields, version })));
const fieldsOf = (form) => Object.fromEntries(new FormData(form));

// Typing is sent half a second after the first key that was not, and at once when a
// field or the page is left: a pause is not waited for.
const timers = new Map();
const sent = new WeakMap();
const send = (form) => {
  clearTimeout(timers.get(form));
  timers.delete(form);
  const now = JSON.stringify(fieldsOf(form));
  if (sent.get(form) === now) return;
  sent.set(form, now);
  change(form.dataset.change, fieldsOf(form));
};
const sendText = () => {
  clearTimeout(timers.get(at("text")));
  timers.delete(at("text"));
  return inTurn(async () => show(await ask("/text", { text: at("text").value, version })));
};
const sendSoon = (one, sending) => {
  status(words.unsaved);
  if (!timers.has(one)) timers.set(one, setTimeout(sending, 500));
};
document.addEventListener("input", (event) => {
  const form = event.target.closest("form.asyougo");
  if (form) sendSoon(form, () => send(form));
  if (event.target === at("text")) sendSoon(at("text"), sendText);
});
window.addEventListener("pagehide", () => {
  for (const one of [...timers.keys()]) { if (one === at("text")) sendText(); else send(one); }
});
document.addEventListener("change", (event) => {
  const form = event.target.closest("form.asyougo");
  if (form) send(form);
});

document.addEventListener("submit", async (event) => {
  const form = event.target;
  event.preventDefault();
  if (form.classList.contains("search")) {
    const found = await fetch(`${base}/library?words=${encodeURIComponent(form.words.value)}`);
    document.querySelector(`.results[data-section="${form.dataset.section}"]`).innerHTML = await found.text();
  } else if (form.id === "would") {
    would(event.submitter.value);
  } else if (form.dataset.change) {
    change(form.dataset.change, fieldsOf(form));
  }
});

document.addEventListener("click", (event) => {
  const one = event.target.closest("button, rect");
  if (!one) return;
  const data = one.dataset;
  if (data.move) change("move", { section: data.section, movement: data.movement, to: Number(data.movement) + Number(data.move) });
  else if ("remove" in data) change("remove", { section: data.section, movement: data.movement });
  else if (data.take) change("add", { section: one.closest(".results").dataset.section, name: data.take });
  else if (data.show) reveal(data.show);
  else if (data.piece) { reveal(data.piece); startMs = timeOf(one); }
  else if (data.hear !== undefined) hear(Number(data.hear), data.one === "1");
  else if ("hearStrip" in data) hear(startMs, false);
  else if (data.settle) inTurn(async () => show(await ask("/settle", { theirs: data.settle === "theirs" })));
});

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
const hear = (fromMs, one) => {
  status(words.wait);
  player.src = `${base}/hear?from=${fromMs}&lasting=60000&one=${one ? 1 : 0}`;
  player.dataset.from = fromMs;
  player.play().then(() => status(""), () => {});
};
player.addEventListener("error", async () => {
  const answer = await fetch(player.src);
  if (!answer.ok) trouble((await answer.json()).trouble);
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
  change("move", { section: dragged.dataset.section, movement: dragged.dataset.movement, to: over.dataset.movement });
});
document.addEventListener("dragend", () => {
  document.querySelectorAll(".row.over, .row.dragged").forEach((row) => row.classList.remove("over", "dragged"));
  dragged = null;
});

const would = async (kind) => {
  const form = at("would");
  wanted = { kind, slot_ms: Math.round(60000 * Number(form.minutes.value.replace(",", "."))) || 0 };
  try {
    const told = await ask("/would", wanted);
    trouble("");
    const rows = told.changes.length ? told.changes : [[form.dataset.nothing, "", ""]];
    at("changes").tBodies[0].replaceChildren(...rows.map((row) => {
      const line = document.createElement("tr");
      line.append(...row.map((text) => Object.assign(document.createElement("td"), { textContent: text })));
      return line;
    }));
    at("changes").hidden = false;
    at("do").hidden = !told.changes.length;
  } catch (error) { trouble(error.message); at("changes").hidden = at("do").hidden = true; }
};
at("do").addEventListener("click", () => inTurn(async () => {
  show(await ask("/would", { ...wanted, do: true }));
  at("changes").hidden = at("do").hidden = true;
}));

at("make").addEventListener("click", async () => { await waiting; await ask("/make", {}); follow(); });
at("cancel").addEventListener("click", async () => { await ask("/cancel", {}); follow(); });
let following = 0;
const follow = async () => {
  clearTimeout(following);
  const made = await ask("/made");
  const running = made.state === "running";
  at("make").disabled = running;
  at("cancel").hidden = at("progress").hidden = !running;
  at("progress").value = made.share;
  const left = made.left_s === null ? "" : `, ${made.left_s} ${at("progress-told").dataset.left}`;
  at("progress-told").textContent = running ? made.stage + left : made.state === "failed" ? made.told : "";
  showMade(made);
  if (running) following = setTimeout(follow, 700);
};
const showMade = (made) => {
  const sounds = made.files.filter((name) => ["mp3", "m4a", "wav", "flac", "ogg", "opus"].includes(name));
  at("made").hidden = !sounds.length;
  if (sounds.length && !at("player").src.endsWith(`/file/${sounds[0]}`)) at("player").src = `${base}/file/${sounds[0]}`;
  at("files").replaceChildren(...made.files.map((name) => {
    const link = Object.assign(document.createElement("a"), { href: `${base}/file/${encodeURIComponent(name)}`, textContent: name, target: "_blank" });
    const row = document.createElement("li");
    row.append(link);
    return row;
  }));
  showLent(made.lent);
};
const showLent = (lent) => {
  at("lend").textContent = lent ? at("lend").dataset.off : at("lend").dataset.on;
  at("lend").dataset.lent = lent ? "1" : "";
  at("lent-address").textContent = lent ? lent.address : "";
  at("lent-qr").hidden = !lent;
  if (lent) { at("lent-qr").src = lent.qr; at("lent-qr").alt = lent.address; }
};
at("lend").addEventListener("click", async () => {
  try { showLent((await ask("/lend", { on: !at("lend").dataset.lent })).lent); } catch (error) { trouble(error.message); }
});
at("measure").addEventListener("click", async () => {
  at("measured").textContent = words.wait;
  try { at("measured").textContent = (await ask("/verify", {})).told; } catch (error) { at("measured").textContent = error.message; }
});
at("recording-send").addEventListener("click", async () => {
  const file = at("recording").files[0];
  if (!file) return;
  at("room").textContent = words.wait;
  const answer = await fetch(`${base}/recording`, { method: "POST", body: file });
  const told = await answer.json();
  at("room").textContent = told.told || told.trouble;
});

script();
follow();
