// The page "Keep it on this phone": the list to pick from, how much room it takes, and what is kept already.
(async () => {
  const page = document.querySelector(".el-offline");
  if (!page) return;
  const el = (id) => document.getElementById("of-" + id), root = new URL(page.dataset.root, location.href).href;
  const form = el("form"), boxes = [...form.querySelectorAll("[name=crop]")];
  const labs = [...form.querySelectorAll("[name=lab]")], buttons = [...page.querySelectorAll("button")];
  let asked = 0;

  const fill = (text, values) => text.replace(/\{(\w+)\}/g, (_, key) => values[key]);
  const say = (id, values) => { el(id).textContent = fill(el(id).dataset.say, values); };
  const label = (input) => input.closest("label").textContent.trim();
  const megabytes = (bytes) => ({mb: Math.max(bytes / 1e6, 0.1)
    .toLocaleString(document.documentElement.lang, {maximumFractionDigits: 1})});
  function tell(id, values) {
    el("told").hidden = !id;
    el("told").textContent = id ? fill(document.getElementById("told-" + id).dataset.say, values) : "";
  }

  document.getElementById("not-kept").hidden = location.hash !== "#not-kept";
  if (!("serviceWorker" in navigator && window.caches && navigator.storage)) return tell("no-way");
  const store = window.earleafKept(root, new URL(page.dataset.worker, location.href).href);

  const picked = () => ({crops: boxes.filter((b) => b.checked).map((b) => b.value), lab: form.elements.lab.value});
  async function need() {
    const choice = picked(), turn = ++asked;
    el("all").checked = choice.crops.length === boxes.length;
    el("keep").disabled = true;
    el("need").textContent = "";
    if (choice.crops.length) try {
      const bytes = await store.size(choice);
      if (turn !== asked) return;
      say("need", megabytes(bytes));
      el("keep").disabled = false;
    } catch (e) { if (turn === asked) tell("no-signal"); }
  }

  // The line that the worker puts on kept pages when there is a newer edition.
  function banner() {
    const line = el("banner").cloneNode(true);
    line.hidden = false;
    line.removeAttribute("id");
    line.firstChild.href = root + "offline/";
    return line.outerHTML;
  }
  async function keep(choice) {
    buttons.forEach((b) => { b.disabled = true; });
    const end = await store.keep(choice, banner(), (done, all) => tell("busy", {done, all}));
    buttons.forEach((b) => { b.disabled = false; });
    await start();
    await need();
    tell(end);
    el("told").scrollIntoView({block: "center"});
  }

  // Show what is on this phone, and whether there is a newer edition.
  async function start() {
    const about = await store.kept();
    el("kept").hidden = !about;
    if (!about) return;
    el("list").textContent = "";
    boxes.forEach((box) => {
      box.checked = about.crops.includes(box.value);
      if (!box.checked) return;
      const link = el("list").appendChild(document.createElement("li")).appendChild(document.createElement("a"));
      link.href = root + "crops/" + box.value + "/";
      link.textContent = label(box);
    });
    labs.filter((lab) => lab.value === about.lab).forEach((lab) => {
      lab.checked = true;
      el("lab").textContent = label(lab);
    });
    say("day", {day: about.edition});
    say("size", megabytes(about.bytes));
    try {
      const now = await store.read("edition");
      say("newer", {day: now.edition});
      el("newer").hidden = now.version === about.version;
    } catch (e) { /* No signal: it stays as it is. */ }
  }

  form.hidden = false;
  el("all").addEventListener("change", () => boxes.forEach((b) => { b.checked = el("all").checked; }));
  form.addEventListener("change", () => { tell(""); need(); });
  form.addEventListener("submit", (event) => { event.preventDefault(); keep(picked()); });
  el("renew").addEventListener("click", async () => keep(await store.kept()));
  el("remove").addEventListener("click", async () => { await store.drop(""); await start(); tell("removed"); });
  await start();
  need();
})();
