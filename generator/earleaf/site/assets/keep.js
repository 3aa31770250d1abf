// The worker of the page "Keep it on this phone". It serves what a reader has kept there, and stores nothing by itself.
//
// Kept pages and their files come from this phone first. Then it looks whether there is a newer edition; if so, the
// next kept page says so. All other addresses come from the network. Without network a page that was not kept leads
// to the page that says what there is. A request that must be fresh (cache "reload" or "no-store") is left alone.
var OURS = "earleaf-kept ", ABOUT = self.registration.scope + "kept", NEWER = self.registration.scope + "newer";

self.addEventListener("install", function () { self.skipWaiting(); });
self.addEventListener("activate", function (event) { event.waitUntil(self.clients.claim()); });
self.addEventListener("fetch", function (event) {
  var asked = event.request;
  if (asked.method !== "GET" || asked.cache === "reload" || asked.cache === "no-store") return;
  if (new URL(asked.url).origin === self.location.origin) event.respondWith(serve(event, asked));
});

async function serve(event, asked) {
  var page = asked.mode === "navigate", kept = await keptFor(asked.url);
  var found = kept && await kept.cache.match(asked.url.split("#")[0], {ignoreSearch: page});
  if (!found) {
    try { return await fetch(asked); } catch (error) {
      if (kept && page) return Response.redirect(kept.about.root + "offline/#not-kept");
      throw error;
    }
  }
  if (!page) return found;
  event.waitUntil(look(kept));
  var own = asked.url.split(/[?#]/)[0] === kept.about.root + "offline/";
  return !own && await kept.cache.match(NEWER) ? marked(found, kept.about) : found;
}

// What was kept of the edition that holds this address, else what was kept of any edition.
async function keptFor(url) {
  var best = null, length = -1;
  for (var name of await caches.keys()) {
    if (name.indexOf(OURS) !== 0) continue;
    var cache = await caches.open(name), about = await cache.match(ABOUT);
    if (!about) continue;
    about = await about.json();
    var fits = url.indexOf(about.root) === 0 ? about.root.length : 0;
    if (fits > length) { best = {cache: cache, about: about}; length = fits; }
  }
  return best;
}

// Remember whether the site has another edition than the one on this phone.
async function look(kept) {
  try {
    var answer = await fetch(kept.about.root + "offline/edition.json", {cache: "no-store"});
    var now = await answer.json();
    if (now.version === kept.about.version) await kept.cache.delete(NEWER);
    else await kept.cache.put(NEWER, new Response(now.edition));
  } catch (error) { /* No signal: nothing is known that was not known before. */ }
}

// A kept page with a line on top that leads to the newer edition.
async function marked(found, about) {
  var text = await found.text();
  var shown = text.replace(/<article class="el-[^>]*>/, function (start) { return start + about.banner; });
  return new Response(shown, {headers: {"Content-Type": "text/html; charset=utf-8"}});
}
