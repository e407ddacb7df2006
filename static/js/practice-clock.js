// The clock of a class that is practised on: elements with data-left="SECONDS", counted from when they came. What this
// device takes for the time does not matter.
"use strict";

(() => {
  const ends = new WeakMap(); // by performance.now(), in milliseconds

  function show() {
    for (const clock of document.querySelectorAll("[data-left]")) {
      if (!ends.has(clock)) ends.set(clock, performance.now() + 1000 * Number(clock.dataset.left));
      const left = Math.ceil((ends.get(clock) - performance.now()) / 1000);
      const seconds = String(Math.max(left, 0) % 60).padStart(2, "0");
      const text = left > 0 ? `${Math.floor(left / 60)}:${seconds}` : gettext("The time is over");
      clock.classList.toggle("over", left <= 0);
      if (clock.textContent !== text) clock.textContent = text;
    }
  }

  show();
  window.setInterval(show, 250);
})();
