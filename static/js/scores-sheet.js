// The page where scores are entered from slips: reasons scores and marks alike.

import * as keep from "./desk-keep.js";
import { DeskPage } from "./desk-page.js";
import { ScoreEntry } from "./scores-entry.js";
import { ScoreStage } from "./scores-stage.js";

const TWO = "tanbark-two-digits";
const NUMBERS_FIRST = "tanbark-numbers-first";

const WORDS = {
  unknown: (number) => interpolate(gettext("Nobody has number %s. Backspace to mend it."), [number]),
  none: (why) => [why, gettext("Backspace to mend the number.")].join(" "),
  odd: (why) => [why, gettext("Backspace to mend the number, or type the score if it is right.")].join(" "),
  done: (whose) => interpolate(gettext("You have entered %s already."), [whose]),
};

class ScorePage extends DeskPage {
  constructor(page) {
    super({
      page,
      entry: new ScoreEntry({
        most: page.most,
        low: page.low,
        two: keep.get(TWO) === true,
        numbersFirst: keep.get(NUMBERS_FIRST) === true,
        first: page.names
          ? gettext("First the number of the team, then Enter.")
          : gettext("First the number of the contestant, then Enter."),
      }),
      stage: new ScoreStage(document.getElementById("desk"), page),
      words: WORDS,
    });
  }

  begin() {
    super.begin();
    this.choice("two-digits", TWO, (on) => (this.entry.two = on)).disabled = !this.entry.canEndAtTwo;
    this.choice("numbers-first", NUMBERS_FIRST, (on) => (this.entry.numbersFirst = on));
  }

  choice(id, name, set) {
    const box = document.getElementById(id);
    box.checked = keep.get(name) === true;
    box.addEventListener("change", () => {
      keep.put(name, box.checked);
      set(box.checked);
      this.entry.clear(this.entry.numbersFirst && this.run.chosen === null);
      this.draw();
      this.stage.focus();
    });
    return box;
  }

  body(of, points) {
    return { of, points };
  }
}

new ScorePage(JSON.parse(document.getElementById("desk-page").textContent)).begin();
