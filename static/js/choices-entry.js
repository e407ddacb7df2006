// What the keys mean while keep/cull cards are entered: the labels of the animals that are kept, in any order, and Enter.
//
// A letter that is a label means that animal and no command; every command has a sign too. A card with too many or too
// few is entered as it is, for it earns 0: it is asked for, and Enter at once says that the card says so.

import { ChosenEntry } from "./chosen-entry.js";
import { refuse } from "./desk-typed.js";

const COMMANDS = {
  "/": "number", n: "number",
  "*": "unreadable", u: "unreadable",
  "-": "none", m: "none",
  "+": "skip", s: "skip",
  z: "undo",
  ".": "back", ",": "back", backspace: "back",
  "?": "help", h: "help",
  x: "seen",
  enter: "enter", escape: "escape",
};

const WORDS = { "": gettext("no card"), unreadable: gettext("unreadable") };

export class ChoiceEntry extends ChosenEntry {
  constructor({ animals, keep, numbersFirst = false }) {
    super({
      commands: COMMANDS,
      numbersFirst,
      typing: "digit",
      words: {
        anew: gettext("Press Backspace, then type this card again."),
        unexpected: gettext("No card is expected now. Type / and its number first."),
      },
    });
    this.animals = animals;
    this.keep = keep;
    this.asksCount = false; // a card with another number of labels waits for Enter
  }

  meaning(key) {
    if (!this.asksNumber && key.length === 1 && this.animals.includes(key.toUpperCase())) return "digit";
    return super.meaning(key);
  }

  forValue(what, key, expects) {
    return this.asksCount ? this.forCount(what) : super.forValue(what, key, expects);
  }

  wrong() {
    return refuse(gettext("Finish this card first, or clear it with Backspace."));
  }

  type(key) {
    const label = key.toUpperCase();
    if (!this.animals.includes(label)) return this.stop(interpolate(gettext("There is no animal %s."), [label]));
    if (this.typed.includes(label)) return this.stop(interpolate(gettext("%s is there already."), [label]));
    this.typed += label;
    return { do: "show" };
  }

  end() {
    if (this.typed.length === this.keep) return this.settle(this.typed);
    this.asksCount = true;
    const told = gettext("%s kept instead of %s: it earns 0. Press Enter again if the card says so, or Backspace to mend it.");
    return refuse(interpolate(told, [this.typed.length, this.keep]));
  }

  forCount(what) {
    this.asksCount = false;
    if (what === "enter") return this.settle(this.typed);
    return this.stop(interpolate(gettext("%s is not saved."), [this.typed]));
  }

  settle(typed) {
    this.clear(this.numbersFirst);
    const value = WORDS[typed] ? typed : [...this.animals].filter((label) => typed.includes(label)).join("");
    return { do: "commit", value, gave: WORDS[value] ?? value };
  }

  back(sure) {
    this.asksCount = false;
    return super.back(sure);
  }

  clear(asksNumber) {
    super.clear(asksNumber);
    this.asksCount = false;
  }
}
