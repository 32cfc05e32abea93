// Making the track, and what was made: played, printed, measured, lent.
import { ask, at, base, sendFile, trouble, words } from "./asking.js";

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
  const left = made.left_s === null ? "" : `, ${made.left_s} ${at("progress-told").dataset.left}`;
  at("progress-told").textContent = running ? (made.stage || at("progress").getAttribute("aria-label")) + left : made.state === "failed" ? made.told : "";
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
at("measure").addEventListener("click", async () => {
  at("measured").textContent = words.wait;
  try {
    const [verdict, ...more] = (await ask("/verify", {})).told.split("\n\n");
    at("measured").textContent = verdict;
    at("measured-more").textContent = more.join("\n\n");
    at("measured-each").hidden = !more.length;
  } catch (error) { at("measured").textContent = error.message; }
});
at("recording-send").addEventListener("click", async () => {
  const file = at("recording").files[0];
  if (!file) return;
  at("room").textContent = words.wait;
  try { at("room").textContent = (await sendFile("/recording", file)).told; } catch (error) { at("room").textContent = error.message; }
});
