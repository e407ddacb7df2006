// Shows the buttons marked data-print, which print the page; without this script they stay hidden.
"use strict";

for (const button of document.querySelectorAll("[data-print]")) {
  button.hidden = false;
  button.addEventListener("click", () => window.print());
}
