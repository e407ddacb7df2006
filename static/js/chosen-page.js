// The page where what contestants chose in a part is entered: what keep/cull cards and answer sheets have in common.

import * as keep from "./desk-keep.js";
import { DeskPage } from "./desk-page.js";
import { Pictures } from "./desk-pictures.js";

const NUMBERS_FIRST = "tanbark-numbers-first";

const there = (why) => [why, gettext("Type the card if it is really there, or Backspace to mend the number.")].join(" ");

const WORDS = {
  unknown: (number) =>
    interpolate(gettext("Nobody has number %s. Backspace to mend it, or type the card: it is kept as a doubt."), [number]),
  none: there,
  odd: there,
  done: (whose) => interpolate(gettext("You have read %s already."), [whose]),
};

export class ChosenPage extends DeskPage {
  // `make` makes the kind's own entry, as somebody set it here before.
  constructor({ page, make, stage }) {
    super({ page, entry: make({ ...page, numbersFirst: keep.get(NUMBERS_FIRST) === true }), stage, words: WORDS });
    const pictures = document.getElementById("pictures");
    this.pictures = pictures && new Pictures(pictures, page.pictures);
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

  draw(note = "") {
    super.draw(note);
    this.pictures?.draw(this.run);
  }
}
