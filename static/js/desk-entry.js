// What the keys mean while cards are read.
//
// All animals but the last make a card, because the last one follows: three digits of four. Whoever types all four from
// habit would begin the next card with the fourth digit of the last one, and no rule about timing can tell that from a card that really begins so.
// So every reader is asked before the first card which of the two they do, and never again on this laptop. No digit
// answers: whoever types on without looking must not have said something by it.

import { Typed, refuse } from "./desk-typed.js";

const COMMANDS = {
  "/": "number", n: "number",
  "*": "unreadable", u: "unreadable",
  "-": "none", m: "none",
  "+": "skip", s: "skip",
  z: "undo", delete: "undo",
  ".": "back", ",": "back", backspace: "back",
  "?": "help", h: "help",
  x: "seen",
  enter: "enter", y: "yes", escape: "escape",
};

export class Entry extends Typed {
  // `digits` is 3, for all animals but the last, or 4, for all of them, or null while the reader has not said which;
  // `loose` cards each begin with their number. Where animals are called by letters, no letter is a command while a card
  // is read: none may be an animal in one class and do something in the next.
  constructor({ loose = false, digits = null, animals = "1234" } = {}) {
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
    this.animals = animals;
    this.lettered = /[A-Z]/.test(animals);
    this.asksHabit = digits === null; // three digits or four?
    this.asksStack = false; // is this really that stack?
    this.checks = false; // the number is typed to see whether the pile still lies as expected
  }

  get wanted() {
    return this.digits === 4 ? this.animals.length : this.animals.length - 1;
  }

  meaning(key) {
    const letter = this.lettered && !this.asksHabit && !this.asksStack && /^[a-z]$/i.test(key);
    if (!letter) return super.meaning(key);
    return !this.asksNumber && this.animals.includes(key.toUpperCase()) ? "digit" : "letter";
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
    if (what === "letter") return refuse(this.typed ? gettext("Enter ends the number.") : this.words.first);
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
    if (what === "digit") return this.digit(key.toUpperCase(), expects);
    if (what === "letter") return this.stop(interpolate(gettext("There is no animal %s."), [key.toUpperCase()]));
    if (what === "enter") {
      if (!this.typed) return { do: "nothing" }; // a habit, and it must do no harm
      if (this.typed.length === this.animals.length - 1) return this.commit(this.typed + this.missing());
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
    if (!this.animals.includes(key)) return this.stop(interpolate(gettext("There is no animal %s."), [key]));
    if (this.typed.includes(key)) return this.stop(interpolate(gettext("Animal %s is placed already."), [key]));
    this.typed += key;
    if (this.typed.length < this.wanted) return { do: "show" };
    return this.commit(this.typed + this.missing());
  }

  // The animal that is left; nothing where all are typed.
  missing() {
    return [...this.animals].find((animal) => !this.typed.includes(animal)) ?? "";
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
