// Enter alone, or the number that is shown once more, checks in whoever is shown: type, Enter, look, Enter. The field is
// always empty, so another number, typed or scanned meanwhile, is shown first, and nobody is ever checked in unseen.
"use strict";

const lookup = document.querySelector(".lookup");
const arrive = document.querySelector("#arrive button[value='in']");
lookup.addEventListener("submit", (event) => {
  const typed = lookup.elements.number.value.trim();
  if (arrive && (!typed || typed === lookup.dataset.shown)) {
    event.preventDefault();
    arrive.click();
  }
});
