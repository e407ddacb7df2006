// A score from 0 to 50: two taps, two digits, or component marks that add up by themselves.

const MOST = 50;

export class Score {
  constructor({ element, components, settled, marked }) {
    this.element = element;
    this.settled = settled;
    this.components = components;
    this.tens = null;
    this.points = null;
    this.given = element.querySelector("output");
    if (components.length) this.makeComponents(marked);
    else this.makePad();
  }

  makePad() {
    const add = (group, digit, act) => {
      const button = document.createElement("button");
      button.type = "button";
      button.textContent = digit;
      button.addEventListener("click", () => act(digit));
      group.append(button);
    };
    for (let digit = 0; digit <= 5; digit += 1) add(this.element.querySelector("#tens"), digit, (one) => this.ten(one));
    for (let digit = 0; digit <= 9; digit += 1) add(this.element.querySelector("#ones"), digit, (one) => this.one(one));
    add(this.element.querySelector("#ones"), "½", () => this.half());
    this.drawPad();
  }

  makeComponents(marked) {
    const group = this.element.querySelector("#components");
    group.hidden = false;
    this.element.querySelector("#pad").hidden = true;
    this.element.querySelector("#pad-help").hidden = true;
    this.inputs = this.components.map(([name, most], place) => {
      const label = document.createElement("label");
      label.htmlFor = `component-${place}`;
      label.textContent = interpolate(gettext("%(name)s, of %(most)s"), { name, most }, true);
      const input = document.createElement("input");
      Object.assign(input, { id: `component-${place}`, type: "number", min: 0, max: most, step: 0.5, inputMode: "decimal", enterKeyHint: "next" });
      input.addEventListener("keydown", (event) => {
        if (event.key !== "Enter") return;
        event.preventDefault();
        (this.inputs[place + 1] ?? input).focus();
        if (!this.inputs[place + 1]) input.blur();
      });
      input.addEventListener("change", () => {
        this.tidy(input, most);
        marked();
        const total = this.total();
        if (total !== null) this.settled(String(total));
        else this.draw();
      });
      group.append(label, input);
      return input;
    });
  }

  tidy(input, most) {
    if (input.value === "") return;
    input.value = Math.min(most, Math.max(0, Math.round(2 * Number(input.value)) / 2)); // to half points
  }

  // The marks that are there, by name.
  marks() {
    const found = {};
    this.components.forEach(([name], place) => {
      const { value } = this.inputs[place];
      if (value !== "") found[name] = Number(value);
    });
    return found;
  }

  total() {
    const marks = Object.values(this.marks());
    return marks.length === this.components.length ? marks.reduce((sum, points) => sum + points, 0) : null;
  }

  show(set) {
    const other = set && (set.number !== this.set?.number || set.classNumber !== this.set?.classNumber);
    if (other || !set) this.tens = null;
    this.set = set && { number: set.number, classNumber: set.classNumber };
    this.points = set?.points ?? null;
    if (this.inputs && (other || !this.element.contains(document.activeElement))) {
      this.components.forEach(([name], place) => (this.inputs[place].value = set?.marks?.[name] ?? ""));
    }
    this.draw();
  }

  clear() {
    this.tens = null;
  }

  // Takes out what was typed.
  empty() {
    this.clear();
    for (const input of this.inputs ?? []) input.value = "";
  }

  // A score is given to somebody who has begun.
  lock(locked) {
    this.locked = locked;
    this.element.querySelector(this.inputs ? "#components" : "#pad").hidden = locked;
    if (!this.inputs) this.element.querySelector("#pad-help").hidden = locked;
  }

  draw() {
    const parts = this.inputs && this.points === null ? Object.values(this.marks()).reduce((sum, one) => sum + one, 0) : 0;
    this.given.textContent = this.tens !== null ? `${this.tens}_` : (this.points ?? (parts ? interpolate(gettext("%s so far"), [parts]) : "–"));
    if (!this.inputs) this.drawPad();
  }

  drawPad() {
    const points = this.points === null ? null : Math.floor(Number(this.points));
    const tens = this.tens ?? (points === null ? null : Math.floor(points / 10));
    [...this.element.querySelector("#tens").children].forEach((button, digit) => {
      button.setAttribute("aria-pressed", String(digit === tens));
    });
    const [ones, half] = [[...this.element.querySelector("#ones").children], Number(this.points) !== points];
    const given = this.tens === null && points !== null;
    ones.forEach((button, digit) => {
      const isHalf = digit === 10;
      button.setAttribute("aria-pressed", String(given && (isHalf ? half : digit === points % 10)));
      button.disabled = isHalf ? !given || points === MOST : this.tens === 5 && digit > 0;
    });
  }

  key(key) {
    if (this.inputs || this.locked || this.element.hidden) return false;
    const pointed = this.pointed;
    this.pointed = key === "." || key === ",";
    if (this.pointed) return this.half();
    if (pointed && key === "5") return true; // 43.5 is typed in full: the point has added the half already
    if (pointed && key === "0") return this.half();
    if (!/^[0-9]$/.test(key)) return false;
    if (this.tens === null) this.ten(Number(key));
    else this.one(Number(key));
    return true;
  }

  ten(digit) {
    if (digit > 5) return;
    this.tens = digit;
    this.draw();
  }

  // Without a ten before it, the ten that stands is kept: 43 becomes 47 by one tap.
  one(digit) {
    const standing = this.points === null ? null : Math.floor(Number(this.points) / 10);
    const tens = this.tens ?? standing;
    if (tens === null || tens * 10 + digit > MOST) return;
    this.tens = null;
    this.settled(String(tens * 10 + digit));
  }

  half() {
    if (this.points === null || this.tens !== null) return false;
    const whole = Math.floor(Number(this.points));
    const isHalf = Number(this.points) !== whole;
    if (isHalf || whole < MOST) this.settled(isHalf ? String(whole) : `${whole}.5`);
    return true;
  }
}
