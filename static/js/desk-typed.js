// What is typed at a desk, one key at a time: a number that chooses whose, and mending. It says what is to be done; it
// draws nothing and sends nothing. What else can be typed, a placing or a score, is its children's.

const MOST_DIGITS = 10;

export class Typed {
  // `commands` says what keys mean; `numbersFirst`: each reading begins with its number; `wake`: the key that goes on
  // after a mistake, one that ends nothing else here; `words`: that the number comes `first`, and what to type `anew`.
  constructor({ commands, numbersFirst, wake, words }) {
    this.commands = commands;
    this.numbersFirst = numbersFirst;
    this.wake = wake;
    this.words = words;
    this.typed = "";
    this.asksNumber = numbersFirst; // the digits are a number, until Enter
    this.asksUndo = false; // the last reading goes back if the same key comes again
    this.stopped = false; // a digit was refused: nothing counts until the reader has noticed
  }

  meaning(key) {
    if (/^[0-9]$/.test(key)) return "digit";
    return this.commands[key.toLowerCase()] ?? null;
  }

  // What to do, as {do: ..., ...}; null for a key that means nothing here. `expects`: something is asked for.
  press(key, expects = true) {
    const what = this.meaning(key);
    if (!what) return null;
    const sure = this.asksUndo;
    this.asksUndo = false;
    if (what === "help" || what === "seen") return { do: what };
    if (this.stopped) return this.goOn(what);
    if (what === "back") return this.back(sure);
    if (what === "escape") return this.escape();
    return this.asksNumber ? this.forNumber(what, key) : this.forValue(what, key, expects);
  }

  forNumber(what, key) {
    if (what === "digit") {
      if (this.typed.length >= MOST_DIGITS) return refuse(gettext("No number is that long."));
      if (key === "0" && !this.typed) return refuse(gettext("No number begins with 0."));
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
    return refuse(this.typed ? gettext("Enter ends the number.") : this.words.first);
  }

  // Hands that type on after a mistake would go on with the digits of the next one. So whatever follows is refused as
  // well, until a key that nothing holds.
  stop(why) {
    this.stopped = true;
    return refuse(`${why} ${this.words.anew}`);
  }

  goOn(what) {
    const wakes = what === "back" || what === "escape" || what === this.wake.toLowerCase();
    if (!wakes) return refuse(this.words.anew);
    this.clear(false);
    return { do: "show" };
  }

  // Backspace mends what is being typed. With nothing typed it takes the last reading back, if pressed twice: hands
  // that mend one too eagerly must not undo the one before.
  back(sure) {
    if (this.typed) {
      this.typed = this.typed.slice(0, -1);
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
    const something = this.typed || (this.asksNumber && !this.numbersFirst);
    this.clear(this.numbersFirst);
    return something ? { do: "show" } : { do: "unchoose" };
  }

  clear(asksNumber) {
    this.stopped = false;
    this.typed = "";
    this.asksNumber = asksNumber;
  }
}

export function refuse(why) {
  return { do: "refuse", why };
}
