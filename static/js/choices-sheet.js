// The page where keep/cull cards are entered.

import { ChoiceEntry } from "./choices-entry.js";
import * as keep from "./desk-keep.js";
import { DeskPage } from "./desk-page.js";
import { Stage } from "./desk-stage.js";

const NUMBERS_FIRST = "tanbark-numbers-first";

const WORDS = {
  unknown: (number) => interpolate(gettext("Nobody has number %s. Backspace to mend it."), [number]),
  none: (why) => [why, gettext("Backspace to mend the number.")].join(" "),
  odd: (why) => [why, gettext("Backspace to mend the number, or type the card if it is right.")].join(" "),
  done: (whose) => interpolate(gettext("You have read %s already."), [whose]),
};

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

class ChoicePage extends DeskPage {
  constructor(page) {
    const { animals, keep: kept } = page;
    super({
      page,
      entry: new ChoiceEntry({ animals, keep: kept, numbersFirst: keep.get(NUMBERS_FIRST) === true }),
      stage: new ChoiceStage(document.getElementById("desk"), page),
      words: WORDS,
    });
  }

  begin() {
    super.begin();
    const box = document.getElementById("numbers-first");
    box.checked = keep.get(NUMBERS_FIRST) === true;
    box.addEventListener("change", () => {
      keep.put(NUMBERS_FIRST, box.checked);
      this.entry.numbersFirst = box.checked;
      this.entry.clear(this.entry.numbersFirst && this.run.chosen === null);
      this.draw();
      this.stage.focus();
    });
  }

  body(of, chosen) {
    return { of, chosen };
  }
}

new ChoicePage(JSON.parse(document.getElementById("desk-page").textContent)).begin();
