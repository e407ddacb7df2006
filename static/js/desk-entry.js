// What the keys mean while cards are read.
//
// Three digits make a card, because the fourth animal follows. Whoever types all four from habit would begin the next
// card with the fourth digit of the last one, and no rule about timing can tell that from a card that really begins so.
// So every reader is asked before the first card which of the two they do, and never again on this laptop. No digit
// answers: whoever types on without looking must not have said something by it.

import { Typed, refuse } from "./desk-typed.js";

const ANIMALS = "1234";

const COMMANDS = {
  "/": "number", n: "number",
  "*": "unreadable", u: "unreadable",
  "-": "none", m: "none",
  "+": "skip", s: "skip",
  z: "undo",
  ".": "back", ",": "back", backspace: "back",
  "?": "help", h: "help",
  x: "seen",
  enter: "enter", y: "yes", escape: "escape",
};

export class Entry extends Typed {
  // `digits` is 3 or 4, or null while the reader has not said which; `loose` cards each begin with their number.
  constructor({ loose = false, digits = null } = {}) {
    super({
      commands: COMMANDS,
      numbersFirst: loose,
      wake: "Enter",
      words: {
        first: gettext("First the number of the card, then Enter."),
        anew: gettext("Press Enter, then type this card again."),
      },
    });
    this.digits = digits;
    this.asksHabit = digits === null; // three digits or four?
    this.asksStack = false; // is this really that stack?
    this.checks = false; // the number is typed to see whether the pile still lies as expected
  }

  checkNumber() {
    this.clear(true);
    this.checks = true;
  }

  clear(asksNumber) {
    super.clear(asksNumber);
    this.checks = false;
  }

  forNumber(what, key) {
    if (!this.checks) return super.forNumber(what, key);
    if (what === "enter" && !this.typed) return refuse(this.words.first);
    const action = super.forNumber(what, key);
    return action.do === "choose" ? { ...action, do: "check" } : action;
  }

  // A check stays until it is answered.
  escape() {
    if (!this.checks) return super.escape();
    this.typed = "";
    return { do: "show" };
  }

  back(sure) {
    if (!this.checks || this.typed) return super.back(sure);
    return { do: sure ? "undo" : "back" };
  }

  press(key, expects = true) {
    const what = this.meaning(key);
    if (!what) return null;
    if (this.asksHabit) return this.answerHabit(what);
    if (this.asksStack) return this.answerStack(what);
    if (what === "yes" && !this.stopped) return null;
    return super.press(key, expects);
  }

  forValue(what, key, expects) {
    if (what === "digit") return this.digit(key, expects);
    if (what === "enter") {
      if (!this.typed) return { do: "nothing" }; // a habit, and it must do no harm
      if (this.typed.length === 3) return this.commit(this.typed + missing(this.typed));
      return refuse(gettext("Not all of the card yet."));
    }
    if (this.typed) return refuse(gettext("Finish this card first, or clear it with Backspace."));
    if (what === "number") {
      this.asksNumber = true;
      return { do: "show" };
    }
    if (what === "skip" || what === "undo") return { do: what };
    if (!expects) return refuse(gettext("No card is expected now. Type / and its number first."));
    if (what === "unreadable") return this.commit("unreadable");
    return this.commit("");
  }

  digit(key, expects) {
    if (!expects) return refuse(gettext("No card is expected now. Type / and its number first."));
    if (!ANIMALS.includes(key)) return this.stop(interpolate(gettext("There is no animal %s."), [key]));
    if (this.typed.includes(key)) return this.stop(interpolate(gettext("Animal %s is placed already."), [key]));
    this.typed += key;
    if (this.typed.length < this.digits) return { do: "show" };
    return this.commit(this.typed.length === 4 ? this.typed : this.typed + missing(this.typed));
  }

  commit(placing) {
    this.clear(this.numbersFirst);
    return { do: "commit", value: placing, gave: inWords(placing) };
  }

  answerHabit(what) {
    if (what === "help" || what === "seen") return { do: what };
    if (!["enter", "yes", "skip", "number"].includes(what)) return refuse(gettext("First answer: three digits or four?"));
    this.asksHabit = false;
    this.digits = what === "enter" || what === "yes" ? 4 : 3;
    return { do: "habit", digits: this.digits };
  }

  askStack() {
    this.clear(this.numbersFirst);
    this.asksStack = true;
  }

  answerStack(what) {
    if (!["yes", "undo"].includes(what)) return refuse(gettext("First answer: is this really that stack?"));
    this.asksStack = false;
    return { do: what === "yes" ? "stack-is-right" : "stack-is-wrong" };
  }
}

function inWords(placing) {
  if (placing === "unreadable") return gettext("unreadable");
  return placing || gettext("no card");
}

function missing(typed) {
  return [...ANIMALS].find((animal) => !typed.includes(animal));
}
