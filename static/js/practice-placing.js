// Placing a class by tapping: each animal that is tapped takes the next place. What is placed moves up and down by
// buttons, or is dragged. Without this script the placing is typed.

import { grip } from "./drag.js";

export class PlacingByTap extends EventTarget {
  constructor(form, kept) {
    super();
    this.form = form;
    this.input = form.elements.placing;
    this.choices = form.querySelector(".animals");
    this.places = form.querySelector(".places");
    this.said = form.querySelector("#tap-said");
    this.animals = [...form.dataset.animals];
    this.buttons = new Map(this.animals.map((animal) => [animal, this.choice(animal)]));
    this.rows = new Map(this.animals.map((animal) => [animal, this.row(animal)]));
    this.choices.append(...this.buttons.values());
    for (const animal of this.begin(kept) || this.begin(this.input.value)) this.places.append(this.rows.get(animal));
    form.querySelector(".typed-placing").hidden = true;
    form.querySelector(".tapped").hidden = false;
    form.addEventListener("submit", (event) => this.refuseUnfinished(event));
    this.draw();
  }

  get value() {
    return [...this.places.children].map((row) => row.dataset.animal).join("");
  }

  // What was placed before, as far as it is a placing of these animals.
  begin(text) {
    const known = [...text].every((animal) => this.rows.has(animal));
    return known && new Set(text).size === text.length ? text : "";
  }

  choice(animal) {
    const button = pressable(animal, interpolate(gettext("Place animal %s next"), [animal]));
    button.className = "animal";
    button.addEventListener("click", () => {
      this.places.append(this.rows.get(animal));
      this.changed(animal);
      const next = this.animals.map((other) => this.buttons.get(other)).find((other) => !other.hidden);
      (next ?? this.form.querySelector("button.press")).focus();
    });
    return button;
  }

  row(animal) {
    const row = document.createElement("li");
    row.dataset.animal = animal;
    const place = document.createElement("span");
    place.className = "place";
    const name = document.createElement("b");
    name.textContent = animal;
    const up = pressable("↑", interpolate(gettext("Move animal %s up"), [animal]));
    const down = pressable("↓", interpolate(gettext("Move animal %s down"), [animal]));
    const out = pressable("×", interpolate(gettext("Take animal %s out of the placing"), [animal]));
    up.addEventListener("click", () => this.move(row, row.previousElementSibling, up));
    down.addEventListener("click", () => this.move(row.nextElementSibling, row, down));
    out.addEventListener("click", () => {
      row.remove();
      this.changed(animal);
      this.buttons.get(animal).focus();
    });
    row.append(grip(row, () => this.changed(animal)), place, name, up, down, out);
    return row;
  }

  // Put a row before another one; the button that was pressed keeps the focus.
  move(row, before, pressed) {
    if (row && before) this.places.insertBefore(row, before);
    pressed.focus();
    this.changed(pressed.parentElement.dataset.animal);
  }

  changed(animal) {
    this.draw();
    const place = this.value.indexOf(animal) + 1;
    this.said.textContent = place
      ? interpolate(gettext("Animal %s is in place %s"), [animal, place])
      : interpolate(gettext("Animal %s is not placed"), [animal]);
    this.dispatchEvent(new Event("change"));
  }

  draw() {
    const placed = this.value;
    this.input.value = placed;
    for (const [animal, button] of this.buttons) button.hidden = placed.includes(animal);
    [...this.places.children].forEach((row, index) => (row.querySelector(".place").textContent = `${index + 1}.`));
  }

  refuseUnfinished(event) {
    const left = this.animals.length - this.value.length;
    if (!left) return;
    event.preventDefault();
    event.stopPropagation();
    const words = ngettext("%s animal has no place yet", "%s animals have no place yet", left);
    this.said.textContent = interpolate(words, [left]);
    this.said.classList.remove("hidden");
    [...this.buttons.values()].find((button) => !button.hidden).focus();
  }
}

function pressable(text, label) {
  const button = document.createElement("button");
  button.type = "button";
  button.textContent = text;
  button.setAttribute("aria-label", label);
  return button;
}
