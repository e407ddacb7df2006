// Live parts of a page. An element with data-poll="SECONDS" asks that often whether there is anything new, and says
// itself what to ask: hx-get="…?v=VERSION" hx-trigger="poll" hx-swap="outerHTML"; 204 means that it is up to date.
//
// A page that nobody can see asks seldom, and at once when it comes to light again, also after the laptop slept.
// Elements with data-poll-status say when the page was last known to be right, and warn when it no longer is.
"use strict";

(() => {
  const TICK = 250; // milliseconds, as all times here
  const SLOWER_HIDDEN = 24; // times
  const PATIENCE = 4000; // for one answer
  const MISSES = 3; // in a row, until the page says that it may be out of date

  const asked = new WeakMap();
  const waiting = new WeakSet();
  let good = new Date();
  let misses = 0;
  let opened = [];

  function askAgain() {
    const now = Date.now();
    const slower = document.hidden ? SLOWER_HIDDEN : 1;
    for (const element of document.querySelectorAll("[data-poll]")) {
      if (!asked.has(element)) {
        asked.set(element, now); // it has only just come
      } else if (!waiting.has(element) && now - asked.get(element) >= 1000 * element.dataset.poll * slower) {
        asked.set(element, now);
        window.htmx.trigger(element, "poll");
      }
    }
  }

  function asker(event) {
    const element = event.detail.requestConfig?.elt ?? event.detail.elt;
    return element.matches("[data-poll]") ? element : null;
  }

  function show() {
    const late = misses >= MISSES;
    const time = good.toTimeString().slice(0, 8);
    const words = late ? gettext("Not updated since %s: no answer. Still trying.") : gettext("updated %s");
    const text = interpolate(words, [time]);
    for (const status of document.querySelectorAll("[data-poll-status]")) {
      status.ariaLive = late ? "assertive" : "off"; // the time alone is not worth hearing every other second
      status.classList.toggle("late", late);
      if (status.textContent !== text) status.textContent = text;
    }
  }

  document.addEventListener("htmx:configRequest", (event) => {
    if (event.detail.elt.matches("[data-poll]")) event.detail.timeout = PATIENCE;
  });

  document.addEventListener("htmx:beforeRequest", (event) => {
    const element = asker(event);
    if (element) waiting.add(element);
  });

  document.addEventListener("htmx:afterRequest", (event) => {
    const element = asker(event);
    if (!element) return;
    // Told to go to another page, it asks no more: asking again would begin the way there anew.
    if (!event.detail.xhr.getResponseHeader("HX-Redirect")) waiting.delete(element);
    if (event.detail.successful) {
      misses = 0;
      good = new Date();
    } else {
      misses += 1;
    }
    show();
  });

  // What somebody has opened in a live part stays open when that is put in anew; details are known by their ids.
  document.addEventListener("htmx:beforeSwap", (event) => {
    if (asker(event) && event.detail.shouldSwap) {
      opened = [...event.detail.target.querySelectorAll("details[id][open]")].map((details) => details.id);
    }
  });

  document.addEventListener("htmx:afterSwap", () => {
    for (const id of opened) document.getElementById(id)?.setAttribute("open", "");
    opened = [];
  });

  window.setInterval(askAgain, TICK);
  document.addEventListener("visibilitychange", askAgain);
  window.addEventListener("online", askAgain);
  document.addEventListener("DOMContentLoaded", show);
})();
