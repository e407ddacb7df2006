// Keys typed while the page is still being loaded are kept for it: a card must not begin with its second digit.
"use strict";

window.deskEarly = {
  keys: [],
  hear(event) {
    if (event.ctrlKey || event.altKey || event.metaKey || event.repeat) return;
    if (event.key.length > 1 && event.key !== "Enter" && event.key !== "Backspace") return;
    if (event.target.closest?.("a, button, summary, input:not(#entry)")) return;
    window.deskEarly.keys.push(event.key);
    event.preventDefault();
  },
};
document.addEventListener("keydown", window.deskEarly.hear);
