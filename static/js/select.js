// Lets a click or a Tab into a field marked data-select select all of it, ready to be copied.
// (Pages served over plain http may not write to the clipboard by themselves.)
"use strict";

for (const field of document.querySelectorAll("[data-select]")) {
  field.addEventListener("focus", () => field.select());
  field.addEventListener("click", () => field.select());
}
