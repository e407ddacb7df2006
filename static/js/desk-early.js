// What is typed or tapped while the page is still being loaded is kept for it: a card or a score must not begin with its
// second digit.
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
  feel(event) {
    const button = event.target.closest?.("[data-key]");
    if (button) window.deskEarly.keys.push(button.dataset.key);
  },
};
document.addEventListener("keydown", window.deskEarly.hear);
document.addEventListener("click", window.deskEarly.feel);
