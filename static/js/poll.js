// Lets an element with data-poll="SECONDS" ask again that often, while anybody can see the page.
// The element itself says what to ask: hx-get="…" hx-trigger="poll".
"use strict";

const asked = new WeakMap();

function askAgain() {
  if (document.hidden) return;
  const now = Date.now();
  for (const element of document.querySelectorAll("[data-poll]")) {
    if (!asked.has(element)) {
      asked.set(element, now); // it has only just come
    } else if (now - asked.get(element) >= 1000 * element.dataset.poll) {
      asked.set(element, now);
      window.htmx.trigger(element, "poll");
    }
  }
}

window.setInterval(askAgain, 500);
document.addEventListener("visibilitychange", askAgain);
