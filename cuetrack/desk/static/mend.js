// A text that is no plan yet: sent as it is typed, its mistakes shown by line.
const at = (id) => document.getElementById(id);
const { id } = at("mend").dataset;
const words = at("status").dataset;
let version = Number(at("mend").dataset.version);
let waiting = Promise.resolve();
let timer = 0;

const send = async () => {
  timer = 0;
  const answer = await fetch(`/class/${id}/text`, {
    method: "POST", headers: { "content-type": "application/json" }, body: JSON.stringify({ text: at("text").value, version }),
  });
  const told = await answer.json();
  if (!answer.ok) { at("status").textContent = told.trouble; return; }
  version = told.version;
  if (!told.troubles.length && !timer) { location.reload(); return; }
  at("status").textContent = timer ? words.unsaved : words.saved;
  at("troubles").replaceChildren(...told.troubles.map((one) => Object.assign(document.createElement("li"),
    { textContent: `${at("troubles").dataset.line} ${one.line}: ${one.what} ${one.remedy}` })));
};
at("text").addEventListener("input", () => {
  at("status").textContent = words.unsaved;
  if (!timer) timer = setTimeout(() => { waiting = waiting.then(send).catch(() => {}); }, 500);
});
