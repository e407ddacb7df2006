// What the keys mean while keep/cull cards are entered: the labels of the animals that are kept, in any order, and Enter.
//
// A letter that is a label means that animal and no command; every command has a sign too. A card with too many or too
// few is entered as it is, for it earns 0: it is asked for, and Enter at once says that the card says so.

import { Typed, refuse } from "./desk-typed.js";

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

export class ChoiceEntry extends Typed {
  constructor({ animals, keep, numbersFirst = false }) {
    super({
      commands: COMMANDS,
      numbersFirst,
      wake: "Backspace",
      words: {
        first: gettext("First the number of the contestant, then Enter."),
        anew: gettext("Press Backspace, then type this card again."),
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
    if (this.asksCount) return this.forCount(what);
    if (["digit", "none", "unreadable"].includes(what) && !expects) {
      return refuse(gettext("No card is expected now. Type / and its number first."));
    }
    if (what === "digit") return this.label(key.toUpperCase());
    if (what === "enter") return this.typed ? this.end() : { do: "nothing" }; // from habit, and it must do no harm
    if (this.typed) return refuse(gettext("Finish this card first, or clear it with Backspace."));
    if (what === "none") return this.settle("");
    if (what === "unreadable") return this.settle("unreadable");
    if (what === "number") {
      this.asksNumber = true;
      return { do: "show" };
    }
    return { do: what }; // skip or undo
  }

  label(label) {
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
