// Making the track, and what was made: played, printed, measured, lent.
import { ask, at, base, sendFile, trouble } from "./asking.js";

at("cancel").addEventListener("click", async () => {
  try { await ask("/cancel", {}); follow(); } catch (error) { trouble(error.message); }
});
const GONE = 404;
let following = 0;
let before = "";
let shown = "";
export const follow = async () => {
  clearTimeout(following);
  let made;
  try { made = await ask("/made"); } catch (error) {
    trouble(error.message);
    if (error.status !== GONE) following = setTimeout(follow, 5000);
    return;
  }
  const running = made.state === "running";
  if (before === "running" && made.state === "done") at("player").removeAttribute("src");
  before = made.state;
  at("make").disabled = at("make-film").disabled = running;
  at("cancel").hidden = at("progress").hidden = !running;
  at("progress").value = made.share;
  const stage = made.stage || at("progress").getAttribute("aria-label");
  const told = running ? [stage, made.left].filter(Boolean).join(", ") : made.state === "failed" ? made.told : "";
  if (at("progress-told").textContent !== told) at("progress-told").textContent = told;
  showMade(made);
  if (running) following = setTimeout(follow, 700);
};
const showMade = (made) => {
  const track = made.named.find((one) => one.track);
  at("made").hidden = !track;
  at("older").hidden = !made.older;
  if (track && !at("player").hasAttribute("src")) at("player").src = `${base}/file/${track.ending}?${Date.now()}`;
  if (shown !== JSON.stringify(made.named)) {
    shown = JSON.stringify(made.named);
    at("files").replaceChildren(...made.named.map((one) => fileRow(one.ending, one.told)));
    at("all-files").replaceChildren(...made.files.map((name) => fileRow(name, name)));
  }
  showLent(made.lent);
};
at("play").addEventListener("click", () => (at("player").paused ? at("player").play() : at("player").pause()));
for (const kind of ["play", "pause", "ended"]) {
  at("player").addEventListener(kind, () => { at("play").textContent = at("play").dataset[at("player").paused ? "play" : "pause"]; });
}
const fileRow = (name, told) => {
  const row = document.createElement("li");
  row.append(Object.assign(document.createElement("a"), { href: `${base}/file/${encodeURIComponent(name)}`, textContent: told, target: "_blank" }));
  return row;
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
// What listens to the whole track takes minutes: asked again meanwhile, it would be done twice. The button keeps the focus.
const onceAtATime = async (button, told, work) => {
  if (button.hasAttribute("aria-disabled")) return;
  button.setAttribute("aria-disabled", "true");
  told.textContent = at("measured").dataset.wait;
  try { await work(); } catch (error) { told.textContent = error.message; }
  button.removeAttribute("aria-disabled");
};
at("measure").addEventListener("click", () => onceAtATime(at("measure"), at("measured"), async () => {
  const [verdict, ...more] = (await ask("/verify", {})).told.split("\n\n");
  at("measured").textContent = verdict;
  at("measured-more").textContent = more.join("\n\n");
  at("measured-each").hidden = !more.length;
}));
at("recording-send").addEventListener("click", () => {
  const file = at("recording").files[0];
  if (!file) return;
  onceAtATime(at("recording-send"), at("room"), async () => { at("room").textContent = (await sendFile("/recording", file)).told; });
});
