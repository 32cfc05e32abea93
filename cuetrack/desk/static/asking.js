// What all parts of the desk's page share: asking the desk, and telling the leader.
export const at = (id) => document.getElementById(id);
export const base = `/class/${at("class").dataset.id}`;
export const words = at("status").dataset;

export const trouble = (text) => { at("trouble").textContent = text; at("trouble").hidden = !text; };
export const status = (text) => { at("status").textContent = text; };

export const got = async (address, how) => {
  try { return await fetch(address, how); } catch { throw new Error(words.gone); }
};
export const ask = async (path, body) => {
  const content = JSON.stringify(body);
  const answer = await got(base + path, body === undefined ? {} : {
    method: "POST", headers: { "content-type": "application/json" }, body: content,
    keepalive: content.length < 20_000, // what is typed last is sent also when the page is left; browsers allow 64 kB
  });
  return answered(answer);
};
const answered = async (answer) => {
  const text = await answer.text();
  let told = { trouble: text };
  try { told = JSON.parse(text); } catch { /* said in plain words */ }
  if (!answer.ok) throw Object.assign(new Error(told.trouble || answer.statusText), { status: answer.status });
  return told;
};
// A file is measured here first: one that the desk stops taking looks like a desk that is gone.
export const sendFile = async (path, file) => {
  if (file.size > Number(words.most)) throw new Error(words.tooLarge);
  return answered(await got(base + path, { method: "POST", body: file }));
};
