// The page where keep/cull cards are entered.

import { ChoiceEntry } from "./choices-entry.js";
import { ChosenPage } from "./chosen-page.js";
import { Stage } from "./desk-stage.js";

class ChoiceStage extends Stage {
  constructor(desk, page) {
    super(desk, page, {
      mode: "score",
      askNumber: gettext("Number on the card, then Enter"),
      owner: gettext("card of contestant"),
      value: (whose) => interpolate(gettext("What %s kept, then Enter"), [whose]),
      all: gettext("You have read all that is left for you here."),
    });
  }

  drawTyped(entry, mode) {
    const told = gettext("Type the %s labels that are kept, in any order, then Enter.");
    this.part("hint").textContent = interpolate(told, [entry.keep]);
    this.part("typed").textContent = mode === "score" ? entry.typed : "";
    for (const key of this.desk.querySelectorAll("[data-label]")) {
      key.setAttribute("aria-pressed", String(mode === "score" && entry.typed.includes(key.dataset.key)));
    }
  }
}

const page = JSON.parse(document.getElementById("desk-page").textContent);
const stage = new ChoiceStage(document.getElementById("desk"), page);
new ChosenPage({ page, stage, make: (own) => new ChoiceEntry(own) }).begin();
