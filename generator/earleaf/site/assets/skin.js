// What the theme of the MkDocs shell leaves to the mouse: its search box gets a name, its menu button works with keys.
(function () {
  function one(choice) { return document.querySelector(choice); }
  var dialog = one(".md-search"), box = one(".md-search__input");
  if (dialog && box) dialog.setAttribute("aria-label", box.getAttribute("aria-label"));
  var toggle = one("#__drawer"), label = one(".md-header label[for=__drawer]");
  var bar = one(".md-sidebar--primary"), menu = one(".md-nav--primary");
  if (!toggle || !label || !bar || !menu) return;
  var button = document.createElement("button");
  button.type = "button";
  button.className = label.className + " el-menu";
  button.setAttribute("aria-label", menu.getAttribute("aria-label"));
  while (label.firstChild) button.appendChild(label.firstChild);
  label.replaceWith(button);
  function say() { button.setAttribute("aria-expanded", String(toggle.checked)); }
  function close() { if (toggle.checked) toggle.click(); }
  say();
  toggle.addEventListener("change", say);
  button.addEventListener("click", function () {
    toggle.click();
    if (toggle.checked) menu.querySelector("a").focus();
  });
  bar.addEventListener("keydown", function (e) { if (e.key === "Escape") { close(); button.focus(); } });
  bar.addEventListener("focusout", function (e) { if (e.relatedTarget && !bar.contains(e.relatedTarget)) close(); });
})();
