// What the superintendent's pages say of the machine they run on: asked for every so often, and at once when the page
// comes to light. 204 means that the page shows it already.
"use strict";

(() => {
  const EVERY = 10000; // milliseconds
  let asking = false;

  async function ask() {
    const shown = document.getElementById("health");
    if (asking || document.hidden || !shown) return;
    asking = true;
    try {
      const answer = await fetch(`${shown.dataset.ask}?v=${shown.dataset.version}`, { redirect: "manual" });
      if (answer.status === 200) show(await answer.text());
    } catch {
      // The server does not answer; what else lives on the page says so.
    } finally {
      asking = false;
    }
  }

  function show(text) {
    const told = new DOMParser().parseFromString(text, "text/html");
    for (const part of told.body.querySelectorAll("[id]")) document.getElementById(part.id)?.replaceWith(part);
  }

  window.setInterval(ask, EVERY);
  document.addEventListener("visibilitychange", ask);
  document.addEventListener("DOMContentLoaded", ask);
})();
