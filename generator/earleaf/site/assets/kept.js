// What the page "Keep it on this phone" does with the browser's cache: all of a choice is kept, or nothing of it.
// A choice is {crops: [ids], lab: id or ""}. `root` is the address of the edition, `worker` that of keep.js.
window.earleafKept = (root, worker) => {
  const scope = new URL("./", worker).href, OURS = "earleaf-kept ", MINE = OURS + root + " ", ABOUT = scope + "kept";
  const NO_ROOM = "QuotaExceededError";
  let lists = {};

  async function get(address, cache) {
    const answer = await fetch(address, {cache});
    if (!answer.ok) throw Object.assign(new Error(address), {name: String(answer.status)});
    return answer;
  }
  const read = async (name) => (await get(root + "offline/" + name + ".json", "no-store")).json();
  const list = (name) => lists[name] = lists[name] || read(name).catch((e) => { delete lists[name]; throw e; });

  // Every address of a choice with its bytes; what two crops share counts once. A crop that is gone has no list.
  async function filesOf(choice) {
    const files = {...await list("base")};
    await Promise.all(choice.crops.map(async (crop) => {
      const own = await list("crops/" + crop).catch((e) => { if (e.name !== "404") throw e; return {}; });
      Object.assign(files, own[""], own[choice.lab]);
    }));
    return files;
  }
  const sum = (files) => Object.values(files).reduce((all, bytes) => all + bytes, 0);

  // What is on this phone of this edition, or nothing. What was left half done is thrown away.
  async function kept() {
    for (const name of await caches.keys()) if (name.startsWith(MINE)) {
      const about = await (await caches.open(name)).match(ABOUT);
      if (about) return about.json();
      await caches.delete(name);
    }
  }

  // Throw away all of this edition but one cache; the worker too, if nothing of any edition is left.
  async function drop(but) {
    for (const name of await caches.keys()) if (name.startsWith(MINE) && name !== but) await caches.delete(name);
    const left = (await caches.keys()).some((name) => name.startsWith(OURS));
    const working = await navigator.serviceWorker.getRegistration(scope);
    if (!left && working) await working.unregister();
  }

  // Four files at a time. The first fault ends it, and is thrown when all four have come to their end.
  async function fetchInto(cache, files, progress) {
    const waiting = Object.keys(files), all = waiting.length;
    let fault;
    const some = async () => {
      while (waiting.length && !fault) try {
        const address = root + waiting.shift(), answer = await get(address, "reload");
        await cache.put(address, answer.redirected ? new Response(await answer.blob()) : answer);
        if (!fault) progress(all - waiting.length, all);
      } catch (e) { fault = fault || e; }
    };
    await Promise.all([some(), some(), some(), some()]);
    if (fault) throw fault;
  }

  // Keep a choice in place of what was kept before. "done", or why not: "no-room", "failed". `banner` is the line that
  // the worker puts on a page when there is a newer edition.
  async function keep(choice, banner, progress) {
    const name = MINE + Date.now(), before = await kept();
    lists = {};
    try {
      const now = await read("edition"), files = await filesOf(choice), bytes = sum(files);
      const room = await navigator.storage.estimate();
      if (room.quota - room.usage < bytes) throw {name: NO_ROOM};
      if (navigator.storage.persist) navigator.storage.persist();
      const cache = await caches.open(name);
      await fetchInto(cache, files, progress);
      await navigator.serviceWorker.register(worker);
      await cache.put(ABOUT, new Response(JSON.stringify({root, bytes, banner, ...now, crops: choice.crops, lab: choice.lab})));
      await drop(name);
      return "done";
    } catch (e) {
      await caches.delete(name);
      if (!before) await drop("");
      return (e.name === NO_ROOM ? "no-room" : "failed") + (before ? "-old" : "");
    }
  }

  return {read, kept, keep, drop, size: async (choice) => sum(await filesOf(choice))};
};
