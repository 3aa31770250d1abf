// A button beside each box of text to copy. Without this script the box can still be selected by hand.
(function () {
  var article = document.querySelector(".el-embeds[data-copy]");
  if (!article) return;
  Array.prototype.forEach.call(article.querySelectorAll(".el-copy"), function (box) {
    var text = box.querySelector("textarea"), button = document.createElement("button");
    function copied() {
      button.textContent = article.getAttribute("data-copied");
      setTimeout(function () { button.textContent = article.getAttribute("data-copy"); }, 2000);
    }
    button.type = "button";
    button.textContent = article.getAttribute("data-copy");
    button.setAttribute("aria-live", "polite");
    button.addEventListener("click", function () {
      text.focus(); text.select();
      if (navigator.clipboard) navigator.clipboard.writeText(text.value).then(copied);
      else if (document.execCommand("copy")) copied();
    });
    text.addEventListener("focus", function () { text.select(); });
    box.appendChild(button);
  });
})();
