// The stage of a page where cards are read: four boxes, one question, and the stack that comes next.

import { Stage } from "./desk-stage.js";

export class CardStage extends Stage {
  constructor(desk, page) {
    super(desk, page, {
      mode: "placing",
      askNumber: gettext("Number on the card, then Enter"),
      owner: gettext("card of contestant"),
      value: (whose) => interpolate(gettext("Placing of %s"), [whose]),
      all: gettext("You have read all of this stack."),
    });
    this.boxes = [...desk.querySelectorAll(".box")];
  }

  mode(run, entry) {
    return entry.asksHabit ? "habit" : entry.asksStack ? "whole" : super.mode(run, entry);
  }

  draw(shown) {
    this.following = shown.following;
    super.draw(shown);
    if (!shown.entry.checks) return;
    this.part("label").textContent = gettext("Every tenth card: the number written on it, then Enter");
    this.part("next").textContent = "";
  }

  drawTyped(entry, mode) {
    const typed = mode === "number" ? "" : entry.typed;
    this.part("hint").textContent = this.hint(entry);
    this.boxes.forEach((box, place) => {
      box.textContent = typed[place] ?? "";
      box.classList.toggle("here", place === typed.length && mode === "placing");
      box.classList.toggle("follows", place === this.boxes.length - 1 && entry.digits !== 4);
    });
    for (const radio of this.desk.querySelectorAll("[name=digits]")) radio.checked = Number(radio.value) === entry.digits;
  }

  hint({ animals, digits, wanted }) {
    if (animals === "1234") {
      return digits === 4 ? gettext("Type all four digits, best animal first.") : gettext("Type three digits, best animal first; the fourth follows by itself.");
    }
    const words = digits === 4 ? gettext("Animals %s: type all of them, best first.") : gettext("Animals %s: type %s of them, best first; the last follows by itself.");
    return interpolate(words, [[...animals].join(" "), wanted].slice(0, digits === 4 ? 1 : 2));
  }

  drawEnd(run, entry, mode, asked) {
    super.drawEnd(run, entry, mode, asked);
    this.part("end-left").hidden = !run.left.length;
    const { label, again } = this.following ?? {};
    const take = again ? gettext("Take %s, second reading") : gettext("Take %s");
    if (this.page.practice) this.part("go-on-text").textContent = gettext("To the room, for a real stack");
    else this.part("go-on-text").textContent = label ? interpolate(take, [label]) : nothingElse(run);
  }

  // A question stands in the place of the field, and its first answer has the focus.
  focus() {
    const { mode } = this.desk.dataset;
    if (mode === "habit" || mode === "whole") this.part(mode).querySelector("button").focus({ preventScroll: true });
    else super.focus();
  }

  take(stack) {
    const form = this.part("take");
    form.elements.stack.value = stack.stack;
    form.elements.alone.value = stack.shared ? "" : "1";
    form.submit();
  }
}

function nothingElse(run) {
  return run.left.length
    ? gettext("Back to the room: no other stack is left for you")
    : gettext("Back to the room: no stack is left for you");
}
