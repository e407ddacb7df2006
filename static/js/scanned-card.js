// A card that waits for a person, by the keyboard alone: Enter sends what was typed, or what the machine thinks; x, an
// arrow and - press what stands beside them, as long as nothing is typed.
"use strict";

(() => {
  const placing = document.getElementById("id_placing");
  if (!placing) return;

  const wrong = document.querySelector("[aria-invalid='true'], .field.wrong input");
  (wrong ?? placing).focus();
  if (wrong instanceof HTMLInputElement) wrong.select();

  document.addEventListener("keydown", (event) => {
    if (event.ctrlKey || event.altKey || event.metaKey || event.target.matches("select, button, a")) return;
    if (event.target.matches("input") && event.target.value) return;
    const pressed = [...document.querySelectorAll("[data-key]")].find(({ dataset }) => dataset.key === event.key);
    if (!pressed) return;
    event.preventDefault();
    pressed.click();
  });
})();
