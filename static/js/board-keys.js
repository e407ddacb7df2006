// The announcer's keys, and those of a small remote in the hand: space, an arrow or the page keys move the ceremony.
// A key that is held down, or pressed again before the server has answered, moves nothing.
"use strict";

(() => {
  const KEYS = {
    " ": "next",
    ArrowRight: "next",
    ArrowDown: "next",
    PageDown: "next",
    ArrowLeft: "back",
    PageUp: "back",
  };

  document.addEventListener("keydown", (event) => {
    const wish = KEYS[event.key];
    if (!wish || event.ctrlKey || event.altKey || event.metaKey || event.shiftKey) return;
    const at = event.target;
    if (at.matches("input, select, textarea")) return;
    const button = document.querySelector(`[data-key="${wish}"]`);
    if (!button) return;
    // Whatever has the focus keeps its own meaning of space.
    if (event.key === " " && at !== button && at.closest("a, button, summary")) return;
    event.preventDefault();
    if (!event.repeat && !button.disabled) button.click();
  });

  // A button that is at work has no focus; whoever pressed it finds it again afterwards.
  let pressed = "";
  document.addEventListener("htmx:beforeRequest", (event) => {
    if (event.target.matches("form")) pressed = event.target.contains(document.activeElement) ? document.activeElement.id : "";
  });
  document.addEventListener("htmx:afterSettle", () => {
    if (pressed && document.activeElement === document.body) document.getElementById(pressed)?.focus();
    pressed = "";
  });

  // A list in the queue is put on stage at the step that is shown above it.
  document.addEventListener("htmx:afterSwap", () => {
    const step = document.querySelector("#stage input[name=step]");
    for (const field of document.querySelectorAll("[data-step]")) if (step) field.value = step.value;
  });
})();
