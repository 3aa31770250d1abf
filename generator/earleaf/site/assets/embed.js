// Sets the height of frames that say how tall they are. A message counts only if it comes from that frame's own window
// and from the origin the frame must have, which is "null" for a sandbox without allow-same-origin.
(function () {
  function origin(f) {
    var s = f.getAttribute("sandbox");
    return s === null || /(^|\s)allow-same-origin(\s|$)/i.test(s) ? new URL(f.src).origin : "null";
  }
  function frames() { return [].slice.call(document.querySelectorAll("iframe[data-earleaf]")); }
  addEventListener("message", function (e) {
    var h = e.data && e.data.earleaf;
    if (typeof h !== "number" || !(h >= 100 && h <= 9999)) return;
    frames().forEach(function (f) {
      if (f.contentWindow === e.source && e.origin === origin(f)) f.style.height = Math.ceil(h) + "px";
    });
  });
  // A frame that spoke before this script came: a change of its size makes it speak again.
  frames().forEach(function (f) { f.style.height = f.offsetHeight + 1 + "px"; });
})();
