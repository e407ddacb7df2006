// A clock on the wall: the server's own time, since the planned times beside it are the server's, whatever this device says.
"use strict";

(() => {
  const A_DAY = 24 * 60 * 60; // seconds, as all times here
  const clock = document.querySelector("[data-clock]");
  const [hours, minutes, seconds] = clock.dataset.clock.split(":").map(Number);
  const ahead = 3600 * hours + 60 * minutes + seconds - Date.now() / 1000;

  function show() {
    const now = (((Date.now() / 1000 + ahead) % A_DAY) + A_DAY) % A_DAY;
    const text = [now / 3600, (now / 60) % 60].map((part) => String(Math.floor(part)).padStart(2, "0")).join(":");
    if (clock.textContent !== text) clock.textContent = text;
  }

  show();
  window.setInterval(show, 1000);
})();
