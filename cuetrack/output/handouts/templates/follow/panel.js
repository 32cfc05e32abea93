const partButtons = new Map();

function headOf(segment) {
  return segment.round
    ? say("part", { movement: segment.section, round: segment.round })
    : segment.section;
}

// One list under each section or round; a movement stands where it is done.
function listParts() {
  const lists = [];
  let head = null;
  segments.forEach((segment, index) => {
    const plain = segment.kind === "welcome" || segment.kind === "close";
    if (!segment.movement && !plain) return;
    if (headOf(segment) !== head) {
      head = headOf(segment);
      const title = document.createElement("h3");
      title.textContent = head;
      title.dir = "auto";
      lists.push(title, document.createElement("ol"));
    }
    lists.at(-1).append(partOf(segment, index));
  });
  byId("parts").replaceChildren(...lists);
}

function partOf(segment, index) {
  const item = document.createElement("li");
  const button = document.createElement("button");
  const time = document.createElement("span");
  const name = document.createElement("bdi");
  time.className = "when";
  time.textContent = segment.clock;
  name.textContent = nameOf(segment);
  button.type = "button";
  button.append(time, " ", name);
  button.addEventListener("click", () => {
    byId("list-panel").close();
    jumpTo(showingOf(index));
  });
  partButtons.set(index, button);
  item.append(button);
  return item;
}

let marked = -1;

function showPart(present) {
  const index = partButtons.has(present) ? present : nextMover(present);
  if (index === marked) return;
  partButtons.get(marked)?.removeAttribute("aria-current");
  partButtons.get(index)?.setAttribute("aria-current", "step");
  marked = index;
}

const dark = window.matchMedia("(prefers-color-scheme: dark)");

// What each choice does; one that was made before is made again.
const EFFECTS = {
  captions(choice) {
    byId("said").dataset.captions = choice;
    byId("track").track.mode = choice === "browser" ? "showing" : "hidden";
  },
  letters(choice) {
    document.documentElement.dataset.letters = choice;
  },
  theme(choice) {
    const theme = choice === "device" ? (dark.matches ? "dark" : "light") : choice;
    document.documentElement.dataset.theme = theme;
    palette = data.colours[theme];
    drawn = "";
  },
  figure() {
    shown.delete("figure-key");
  },
};

function setUpChoices() {
  for (const [name, effect] of Object.entries(EFFECTS)) {
    const options = [...document.querySelectorAll(`input[name="${name}"]`)];
    const made = options.find((option) => option.value === choiceOf(name));
    if (made) made.checked = true;
    effect(options.find((option) => option.checked).value);
    options.forEach((option) => option.addEventListener("change", () => {
      choose(name, option.value);
      effect(option.value);
      refresh();
      fit();
    }));
  }
  dark.addEventListener("change", () => {
    EFFECTS.theme(choiceOf("theme") ?? "device");
    refresh();
  });
}

function setUpVolumes() {
  if (!bed) return;
  const before = media.volume;
  media.volume = 0.5;
  const obeyed = media.volume === 0.5; // Some phones keep it to their own buttons.
  media.volume = before;
  byId("volumes").hidden = !obeyed;
  byId("device-volume").hidden = obeyed;
  for (const [id, element] of [["voice-volume", media], ["bed-volume", bed]]) {
    byId(id).addEventListener("input", (event) => {
      element.volume = Number(event.target.value) / 100;
    });
  }
}

function setUpFullScreen() {
  const root = document.documentElement;
  if (!document.fullscreenEnabled) {
    byId("full").hidden = true;
    document.querySelectorAll(".for-full").forEach((element) => { element.hidden = true; });
    return;
  }
  byId("full").addEventListener("click", () => {
    if (document.fullscreenElement) document.exitFullscreen();
    else root.requestFullscreen().catch(() => {});
  });
  document.addEventListener("fullscreenchange", () => {
    put("full-word", words[document.fullscreenElement ? "leave full screen" : "full screen"]);
    fit();
  });
}

function setUpKeys() {
  const arrows = document.documentElement.dir === "rtl"
    ? { ArrowLeft: forward, ArrowRight: back }
    : { ArrowLeft: back, ArrowRight: forward };
  const letters = {
    [words["hold letter"].toLowerCase()]: holdOrReturn,
    [words["full letter"].toLowerCase()]: () => byId("full").click(),
  };
  document.addEventListener("keydown", (event) => {
    if (event.ctrlKey || event.altKey || event.metaKey || document.querySelector("dialog[open]")) return;
    const onControl = event.target.closest("button, input, select, a");
    const letter = byId("letters").checked && letters[event.key.toLowerCase()];
    const order = event.key === " " ? !onControl && playOrPause : arrows[event.key] ?? letter;
    if (!order || event.repeat) return;
    event.preventDefault();
    order();
  });
}

function setUpPanels() {
  byId("more").addEventListener("click", () => byId("more-panel").showModal());
  byId("list").addEventListener("click", () => {
    byId("list-panel").showModal();
    partButtons.get(marked)?.scrollIntoView({ block: "center" });
  });
  document.querySelectorAll(".shut").forEach((button) => {
    button.addEventListener("click", () => button.closest("dialog").close());
  });
  listParts();
}

function setUpMediaKeys() {
  if (!navigator.mediaSession) return;
  navigator.mediaSession.metadata = new MediaMetadata({ title: data.title });
  const orders = { play: playOrPause, pause: playOrPause, nexttrack: forward, previoustrack: back };
  for (const [name, order] of Object.entries(orders)) {
    navigator.mediaSession.setActionHandler(name, order);
  }
}
