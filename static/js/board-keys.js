// The announcer's keys, and those of a small remote in the hand: space, an arrow or the page keys move the ceremony.
//
// One press is one row. A key that is held down, pressed again before the server has answered, or within a moment after
// the stage has moved, here or on another device, moves nothing: fingers bounce, and two announcers press at once.
"use strict";

(() => {
  const KEYS = {
    " ": "next",
    ArrowRight: "next",
    ArrowDown: "next",
    PageDown: "next",
    ArrowLeft: "back",
    PageUp: "back",
    ".": "blank", // and so do remotes
    b: "blank",
    B: "blank",
  };
  const MOMENT = 700; // milliseconds, as all times here
  const PATIENCE = 4000; // for one answer

  const stage = () => document.getElementById("stage");
  let step = stage().dataset.step;
  let steadyAt = 0;
  let settling = 0;

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

  document.addEventListener(
    "click",
    (event) => {
      if (event.target.closest?.("[data-settling] [data-move]")) {
        event.preventDefault();
        event.stopPropagation();
      }
    },
    true,
  );

  function followTheStage() {
    if (stage().dataset.step !== step) {
      step = stage().dataset.step;
      steadyAt = Date.now() + MOMENT;
      sayNotSent(false);
      // A list in the queue is put on stage at the step that is shown above it.
      for (const field of document.querySelectorAll("input[data-step]")) field.value = step;
    }
    if (Date.now() >= steadyAt) return;
    stage().dataset.settling = "";
    window.clearTimeout(settling);
    settling = window.setTimeout(() => delete stage().dataset.settling, steadyAt - Date.now());
  }

  // What is typed in the queue is not lost to what somebody else has changed there meanwhile.
  function keepQueueInStep() {
    const queue = document.getElementById("lists");
    if (queue.dataset.queue === stage().dataset.queue) return;
    const typed = [...queue.querySelectorAll("input")].some(
      (field) => field.value !== field.defaultValue || field.checked !== field.defaultChecked,
    );
    if (typed) queue.querySelector("[data-changed]").hidden = false;
    else window.htmx.trigger(queue, "changed-elsewhere");
  }

  function sayNotSent(isSo) {
    document.querySelector("[data-not-sent]").hidden = !isSo;
  }

  document.addEventListener("htmx:configRequest", (event) => {
    if (event.detail.elt.matches("[data-move]")) event.detail.timeout = PATIENCE;
  });

  document.addEventListener("htmx:afterRequest", (event) => {
    if (event.detail.requestConfig.elt.matches("[data-move]")) {
      sayNotSent(!event.detail.successful && ![409, 422].includes(event.detail.xhr.status));
    }
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

  document.addEventListener("htmx:afterSwap", () => {
    followTheStage();
    keepQueueInStep();
  });
})();
