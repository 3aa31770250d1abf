// Search of the plain shell: one list of pages, loaded when the search page is open. Every word must be found.
(function () {
  var box = document.getElementById("pl-ask"), list = document.getElementById("pl-hits");
  if (!box || !list) return;
  function fold(text) { return text.toLowerCase().normalize("NFD").replace(/[\u0300-\u036f]/g, ""); }
  var root = document.body.getAttribute("data-root");
  var asked = new URLSearchParams(location.search).get("q");
  if (asked) box.value = asked;
  // A copy that is opened from a disk has the list in a script, for there no script may read a file.
  var loaded = window.earleafIndex ? Promise.resolve(window.earleafIndex)
    : fetch(root + "search/search_index.json").then(function (r) { return r.json(); });
  loaded.then(function (index) {
    function show() {
      var words = fold(box.value).split(/\s+/).filter(Boolean);
      var hits = [];
      index.docs.forEach(function (d) {
        var title = fold(d.title), text = fold(d.text), score = 0;
        for (var i = 0; i < words.length; i++) {
          var w = words[i];
          if (title.split(/\W+/).indexOf(w) >= 0) score += 12;
          else if (title.indexOf(w) >= 0) score += 6;
          else if (text.indexOf(w) >= 0) score += 1;
          else return;
        }
        if ((" " + title).indexOf(" " + words.join(" ")) >= 0) score += 2;
        if (d.location.indexOf("crops/") === 0) score += 3;
        if (words.length) hits.push([score - title.length / 200, d]);
      });
      hits.sort(function (a, b) { return b[0] - a[0]; });
      list.textContent = "";
      hits.slice(0, 20).forEach(function (hit) {
        var li = document.createElement("li"), a = document.createElement("a");
        a.href = root + hit[1].location; a.textContent = hit[1].title;
        li.appendChild(a); list.appendChild(li);
      });
      var count = document.getElementById("pl-count");
      count.textContent = words.length ? count.getAttribute("data-found").replace("{n}", hits.length) : "";
    }
    box.addEventListener("input", show); show();
  });
})();
