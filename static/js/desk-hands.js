// Brings what hands do to a reading page: keys, a screen's own keyboard, the buttons on the page, and the sound switch.

import * as sounds from "./desk-sounds.js";

// `press(key)` does what a key means and says whether it meant anything; `trouble(why)` says that something is wrong.
export function listen({ stage, entry, outbox, press, trouble }) {
  const meaning = (key) => entry.meaning(key);
  document.addEventListener("keydown", (event) => {
    const { key, target } = event;
    if (event.code.startsWith("Numpad") && key.length > 1 && key !== "Enter") {
      trouble(gettext("Num Lock is off: press it, or use the digits above the letters."));
      return;
    }
    if (event.ctrlKey || event.altKey || event.metaKey || event.isComposing || (key.length > 1 && !meaning(key))) return;
    if (target.matches("select, textarea, input:not(#entry, [type=radio], [type=checkbox])")) return;
    if (target.matches("a, button, summary, [type=checkbox]") && ["Enter", " "].includes(key)) return;
    if (event.repeat && (key !== "Backspace" || !entry.typed)) {
      if (meaning(key)) event.preventDefault();
      return;
    }
    if (press(key)) event.preventDefault();
    else if (target.id === "entry" && key.length === 1) {
      event.preventDefault();
      const pressed = key === " " ? gettext("The space bar") : key;
      trouble(interpolate(gettext("%s means nothing here. ? shows all keys."), [pressed]));
    }
    if (!target.matches("[type=radio]")) stage.focus();
  });

  // A screen's own keyboard sends text, not keys.
  stage.field.addEventListener("beforeinput", (event) => {
    event.preventDefault();
    if (event.inputType.startsWith("delete")) press("Backspace");
    else if (event.inputType === "insertLineBreak") press("Enter");
    else for (const key of event.data ?? "") press(key);
  });

  stage.desk.addEventListener("click", (event) => {
    const button = event.target.closest("[data-key]");
    if (button) press(button.dataset.key);
    if (!event.target.closest("a, summary, label, input, .set-aside")) stage.focus();
  });

  const sound = document.getElementById("sound");
  sound.checked = sounds.isOn();
  sound.addEventListener("change", () => {
    sounds.turn(sound.checked);
    sounds.tick();
    stage.focus();
  });

  // Readings outlive the page, but nobody should close a laptop without knowing. The way back in needs no warning.
  let joining = false;
  document.querySelector("#sign a").addEventListener("click", () => (joining = true));
  addEventListener("beforeunload", (event) => {
    if (outbox.waiting().length && !joining) event.preventDefault();
  });
}
