// What the keys mean while scores are typed.
//
// Enter ends a score. Where every score has two digits, a reader may choose that the second digit ends it; then a star
// begins one that has fewer or a decimal, so that no rule about timing has to tell 4 3 from the beginning of 43.5.
// After a mistake Enter does nothing, for it comes from habit: it would save what is left of the score, or let the next
// one be typed in its place. A score that is very low is asked for: Enter at once says that it is meant, and whatever
// else is typed stops like a mistake, since it belongs to the next one.

import { Typed, refuse } from "./desk-typed.js";

const DECIMALS = 2;
const NO_SCORE = "none"; // what is sent where the slip says that no score was given

const COMMANDS = {
  "/": "number", n: "number",
  "*": "exact", e: "exact",
  "-": "none", m: "none",
  "+": "skip", s: "skip",
  z: "undo", delete: "undo",
  ".": "point", ",": "point",
  backspace: "back",
  "?": "help", h: "help",
  x: "seen",
  enter: "enter", escape: "escape",
};

// Points as people read them, with the decimal mark of their language.
export const withMark = (points) => points.replace(".", get_format("DECIMAL_SEPARATOR"));

export class ScoreEntry extends Typed {
  // `most` is the highest score, `low` the highest that is asked for; `two`: two digits end it; `first` says that the number comes first.
  constructor({ most, low, two = false, numbersFirst = false, first }) {
    const words = { first, anew: gettext("Press Backspace, then type this score again.") };
    super({ commands: COMMANDS, numbersFirst, wake: "Backspace", words });
    this.most = most;
    this.low = low;
    this.asksLow = false; // a low score waits for Enter
    this.two = two;
    this.exact = false; // this one score is ended by Enter alone
  }

  // Whether a score can be ended by its second digit here at all.
  get canEndAtTwo() {
    return this.most >= 10 && this.most <= 99;
  }

  get endsAtTwo() {
    return this.two && this.canEndAtTwo && !this.exact;
  }

  forValue(what, key, expects) {
    if (this.asksLow) return this.forLow(what);
    if (["digit", "point", "exact", "none"].includes(what) && !expects) {
      return refuse(gettext("No score is expected now. Type / and a number first."));
    }
    if (what === "digit") return this.digit(key);
    if (what === "point") return this.point();
    if (what === "exact") return this.startExact();
    if (what === "enter") {
      if (!this.typed) return { do: "nothing" }; // a habit, and it must do no harm
      if (this.typed.endsWith(".")) return refuse(gettext("A digit follows the point."));
      return this.commit(this.typed);
    }
    if (this.typed) return refuse(gettext("Finish this score first, or clear it with Backspace."));
    if (what === "none") return this.commit(NO_SCORE);
    if (what === "number") {
      this.asksNumber = true;
      return { do: "show" };
    }
    return { do: what }; // skip or undo
  }

  digit(key) {
    if ((this.typed.split(".")[1] ?? "").length >= DECIMALS) return this.stop(gettext("A score has two decimals at most."));
    const typed = this.typed === "0" ? key : this.typed + key;
    if (Number(typed) > this.most) return this.stop(interpolate(gettext("%s is too much: %s is the most."), [typed, this.most]));
    this.typed = this.endsAtTwo && this.typed === "0" ? `0${key}` : typed;
    if (this.endsAtTwo && /^\d\d$/.test(this.typed)) return this.commit(this.typed);
    return { do: "show" };
  }

  point() {
    if (this.typed.includes(".")) return this.stop(gettext("There is a point already."));
    this.typed = `${this.typed || "0"}.`;
    return { do: "show" };
  }

  startExact() {
    if (this.typed && !this.exact) return refuse(gettext("The star comes first, before the digits."));
    this.exact = true;
    return { do: "show" };
  }

  forLow(what) {
    this.asksLow = false;
    if (what === "enter") return this.settle(this.typed);
    return this.stop(interpolate(gettext("%s is not saved."), [withMark(this.typed)]));
  }

  commit(typed) {
    if (typed === NO_SCORE || Number(typed) > this.low) return this.settle(typed);
    this.asksLow = true;
    return refuse(interpolate(gettext("%s is very low. Press Enter again if it is right, or Backspace to mend it."), [withMark(typed)]));
  }

  settle(typed) {
    this.clear(this.numbersFirst);
    const value = typed.replace(/^0(?=\d)/, "");
    return { do: "commit", value, gave: value === NO_SCORE ? gettext("no score") : withMark(value) };
  }

  back(sure) {
    this.asksLow = false;
    if (this.typed || !this.exact) return super.back(sure);
    this.exact = false;
    return { do: "show" };
  }

  escape() {
    const exact = this.exact;
    const action = super.escape();
    return exact ? { do: "show" } : action;
  }

  clear(asksNumber) {
    super.clear(asksNumber);
    this.asksLow = false;
    this.exact = false;
  }
}
