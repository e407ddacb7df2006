// What the keys mean while scores are typed. Takes one key at a time and says what is to be done; it draws nothing and
// sends nothing.
//
// Enter ends a score. Where every score has two digits, a reader may choose that the second digit ends it; then a star
// begins one that has fewer or a decimal, so that no rule about timing has to tell 4 3 from the beginning of 43.5.

const MOST_DIGITS = 10;
const DECIMALS = 2;
const NO_SCORE = "none"; // what is sent where the slip says that no score was given

const COMMANDS = {
  "/": "number", n: "number",
  "*": "exact", e: "exact",
  "-": "none", m: "none",
  "+": "skip", s: "skip",
  z: "undo",
  ".": "point", ",": "point",
  backspace: "back",
  "?": "help", h: "help",
  x: "seen",
  enter: "enter", escape: "escape",
};

export const inWords = (points) => (points === NO_SCORE ? "no score" : points);

export function meaning(key) {
  if (/^[0-9]$/.test(key)) return "digit";
  return COMMANDS[key.toLowerCase()] ?? null;
}

export class ScoreEntry {
  // `most` is the highest score; `two`: two digits end it; `numbersFirst`: each score begins with its number.
  constructor({ most, two = false, numbersFirst = false, whose = "contestant" }) {
    this.most = most;
    this.two = two;
    this.numbersFirst = numbersFirst;
    this.whose = whose;
    this.typed = "";
    this.asksNumber = numbersFirst; // the digits are a number, until Enter
    this.exact = false; // this one score is ended by Enter alone
    this.asksUndo = false; // the last reading goes back if the same key comes again
  }

  // Whether a score can be ended by its second digit here at all.
  get canEndAtTwo() {
    return this.most >= 10 && this.most <= 99;
  }

  get endsAtTwo() {
    return this.two && this.canEndAtTwo && !this.exact;
  }

  // What to do, as {do: ..., ...}; null for a key that means nothing here. `expects`: somebody's score is asked for.
  press(key, expects = true) {
    const what = meaning(key);
    if (!what) return null;
    const sure = this.asksUndo;
    this.asksUndo = false;
    if (what === "help" || what === "seen") return { do: what };
    if (what === "back") return this.back(sure);
    if (what === "escape") return this.escape();
    return this.asksNumber ? this.forNumber(what, key) : this.forScore(what, key, expects);
  }

  forNumber(what, key) {
    if (what === "digit") {
      if (this.typed.length >= MOST_DIGITS) return refuse("No number is that long.");
      if (key === "0" && !this.typed) return refuse("No number begins with 0.");
      this.typed += key;
      return { do: "show" };
    }
    if (what === "enter") {
      if (!this.typed) return this.numbersFirst ? { do: "nothing" } : this.escape();
      const number = Number(this.typed);
      this.clear(false);
      return { do: "choose", number };
    }
    if (what === "undo" && !this.typed) return { do: "undo" };
    if (what === "number") return { do: "nothing" };
    if (what === "skip" && this.numbersFirst && !this.typed) return { do: "skip" };
    return refuse(this.typed ? "Enter ends the number." : `First the number of the ${this.whose}, then Enter.`);
  }

  forScore(what, key, expects) {
    if (what === "digit" || what === "point" || what === "exact") {
      if (!expects) return refuse("No score is expected now. Type / and a number first.");
      return what === "digit" ? this.digit(key) : what === "point" ? this.point() : this.begin();
    }
    if (what === "enter") {
      if (!this.typed) return { do: "nothing" }; // a habit, and it must do no harm
      if (this.typed.endsWith(".")) return refuse("A digit follows the point.");
      return this.commit();
    }
    if (this.typed) return refuse("Finish this score first, or clear it with Backspace.");
    if (what === "number") {
      this.asksNumber = true;
      return { do: "show" };
    }
    if (what !== "none") return { do: what }; // skip or undo
    if (!expects) return refuse("No score is expected now. Type / and a number first.");
    this.clear(this.numbersFirst);
    return { do: "commit", points: NO_SCORE };
  }

  digit(key) {
    if ((this.typed.split(".")[1] ?? "").length >= DECIMALS) return refuse("A score has two decimals at most.");
    const typed = this.typed === "0" ? key : this.typed + key;
    if (Number(typed) > this.most) return refuse(`${typed} is too much: ${this.most} is the most. Enter ends a score.`);
    this.typed = this.endsAtTwo && this.typed === "0" ? `0${key}` : typed;
    if (this.endsAtTwo && /^\d\d$/.test(this.typed)) return this.commit();
    return { do: "show" };
  }

  point() {
    if (this.typed.includes(".")) return refuse("There is a point already.");
    this.typed = `${this.typed || "0"}.`;
    return { do: "show" };
  }

  begin() {
    if (this.typed && !this.exact) return refuse("The star comes first, before the digits.");
    this.exact = true;
    return { do: "show" };
  }

  commit() {
    const points = this.typed.replace(/^0(?=\d)/, "");
    this.clear(this.numbersFirst);
    return { do: "commit", points };
  }

  // Backspace mends what is being typed. With nothing typed it takes the last reading back, if pressed twice: hands
  // that mend a score too eagerly must not undo the one before.
  back(sure) {
    if (this.typed) {
      this.typed = this.typed.slice(0, -1);
      return { do: "show" };
    }
    if (this.exact) {
      this.exact = false;
      return { do: "show" };
    }
    if (this.asksNumber && !this.numbersFirst) return this.escape();
    return { do: sure ? "undo" : "back" };
  }

  // Called by the page when "back" is to ask for taking back the last reading.
  askUndo() {
    this.asksUndo = true;
  }

  // Called by the page when "back" is to mend the number that was chosen.
  mendNumber(number) {
    this.asksNumber = true;
    this.typed = String(number);
  }

  escape() {
    const something = this.typed || this.exact || (this.asksNumber && !this.numbersFirst);
    this.clear(this.numbersFirst);
    return something ? { do: "show" } : { do: "unchoose" };
  }

  clear(asksNumber) {
    this.typed = "";
    this.exact = false;
    this.asksNumber = asksNumber;
  }
}

function refuse(why) {
  return { do: "refuse", why };
}
