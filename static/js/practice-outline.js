// The outline of a set of reasons, on a member's phone. Each part begins with what they noted, in the order of their placing,
// until they say it otherwise; what they typed is kept by the animals it is about, so that it is there again when a pair comes
// back. No word of it is anybody else's.

export class Outline {
  constructor(shown, kept, save) {
    this.shown = shown;
    this.kept = kept; // what they typed themselves, by part
    this.save = save;
    this.notes = {};
    this.placing = "";
    this.form = shown.querySelector("form");
    this.fields = [...shown.querySelectorAll("[data-outlined] textarea")];
    for (const field of this.fields) {
      field.addEventListener("input", () => {
        this.kept[this.key(field)] = field.value;
        this.save();
      });
    }
    // What is not handed in never leaves the device: until then it belongs to no form.
    this.form.addEventListener("submit", () => {
      this.form.elements.placing.value = this.placing;
      for (const field of this.fields) field.setAttribute("form", this.form.id);
    });
  }

  pair(field) {
    const at = Number(field.closest("[data-pair]")?.dataset.pair ?? 0);
    return at ? this.placing.slice(at - 1, at + 1) : "";
  }

  key(field) {
    const pair = this.pair(field);
    return pair ? `${pair}-${field.dataset.part}` : field.name;
  }

  // What the notes have to say for a part: for the upper animal what is good in it, for the lower what is granted, and faulted.
  noted(field) {
    const [upper, lower] = this.pair(field);
    const source = { why: [upper, "good"], grant: [lower, "good"], fault: [lower, "faults"] }[field.dataset.part];
    return source ? (this.notes[`note-${source[0]}-${source[1]}`] ?? "") : "";
  }

  draw(placing, notes, animals) {
    const whole = placing.length === animals.length;
    this.shown.querySelector("[data-unplaced]").hidden = whole;
    this.shown.querySelector("[data-outlined]").hidden = !whole;
    if (!whole) return;
    [this.placing, this.notes] = [placing, notes];
    this.shown.querySelector("[data-placing]").textContent = [...placing].join("-");
    for (const pair of this.shown.querySelectorAll("[data-pair]")) {
      const [upper, lower] = placing.slice(Number(pair.dataset.pair) - 1);
      pair.querySelector("[data-over]").textContent = interpolate(gettext("%s over %s"), [upper, lower]);
    }
    for (const field of this.fields) {
      const text = this.kept[this.key(field)] ?? this.noted(field);
      if (field !== document.activeElement && field.value !== text) field.value = text;
    }
  }
}
