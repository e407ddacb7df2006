// The page where scores are entered from slips. Reasons scores and marks are entered alike; teams, which have no numbers,
// are chosen by their place in a list.

import * as keep from "./desk-keep.js";
import { DeskPage } from "./desk-page.js";
import { ScoreEntry, inWords } from "./scores-entry.js";
import { ScoreStage } from "./scores-stage.js";

const TWO = "tanbark-two-digits";
const NUMBERS_FIRST = "tanbark-numbers-first";

class ScorePage extends DeskPage {
  constructor(page) {
    super({
      page,
      entry: new ScoreEntry({
        most: page.most,
        two: keep.get(TWO) === true,
        numbersFirst: keep.get(NUMBERS_FIRST) === true,
        whose: page.names ? "team" : "contestant",
      }),
      stage: new ScoreStage(document.getElementById("desk"), page),
      words: {
        whose: (item) => item.whose,
        gave: (item) => inWords(item.points),
        where: (item) => (item.sheet === page.sheet ? "" : item.sheetLabel),
      },
    });
    this.places = new Map(Object.entries(page.names ?? {}).map(([number, { of }]) => [of, Number(number)]));
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

  // Whether a reading is one of a score.
  tells(item) {
    return item.sheet !== undefined;
  }

  // A number is what is typed; `owner` is what the server knows the same contestant or team by.
  numberOf(item) {
    if (item.sheet !== this.page.sheet) return null;
    return this.page.names ? (this.places.get(item.owner) ?? null) : item.owner;
  }

  shown({ sheet, sheetLabel, whose, owner, points }) {
    return { sheet, sheetLabel, whose, owner, points };
  }

  commit({ points }) {
    const { page, run, stage } = this;
    const owner = page.names ? page.names[run.now].of : run.now;
    const shown = { sheet: page.sheet, sheetLabel: page.label, whose: stage.whose(run.now), owner, points };
    this.add(shown, { of: owner, points });
  }

  choose(number) {
    if (!this.page.names || this.page.names[number]) {
      super.choose(number);
      return;
    }
    this.entry.mendNumber(number);
    this.trouble(`There is no team ${number} in the list.`);
  }

  oddness(number) {
    const odd = this.page.odd[number];
    const none = this.page.none[number];
    if (!this.known.has(number)) return `Nobody has number ${number}. Backspace to mend it.`;
    if (none) return `${number} ${none}, so there is no score to enter. Backspace to mend the number.`;
    if (odd) return `${number} ${odd}. Backspace to mend the number, or type the score if it is right.`;
    return this.run.done.has(number) ? `You have entered ${this.stage.whose(number)} already.` : "";
  }

  bringInStep({ numbers }) {
    this.run.bringInStep(numbers.map((owner) => (this.page.names ? this.places.get(owner) : owner)).filter(Boolean));
  }
}

new ScorePage(JSON.parse(document.getElementById("desk-page").textContent)).begin();
