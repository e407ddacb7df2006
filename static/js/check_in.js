// Sending the number that is shown already checks its contestant in: type, Enter, look, Enter. Another number, typed or
// scanned over it, is shown first, so nobody is ever checked in unseen.
"use strict";

const lookup = document.querySelector(".lookup");
const arrive = document.querySelector("#arrive button[value='in']");
lookup.addEventListener("submit", (event) => {
  const same = lookup.elements.number.value.trim() === lookup.dataset.shown;
  if (same && arrive) {
    event.preventDefault();
    arrive.click();
  }
});
