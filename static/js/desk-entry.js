// What the keys mean. Takes one key at a time and says what is to be done; it draws nothing and sends nothing.
//
// Three digits make a card, because the fourth animal follows. Whoever types all four from habit would begin the next
// card with the fourth digit of the last one, and no rule about timing can tell that from a card that really begins so.
// So the first time that the very next key is the animal that just came by itself, the reader is asked which of the
// two they do, and is never asked again on this laptop.

const ANIMALS = "1234";
const MOST_DIGITS = 10;

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

export function meaning(key) {
  if (/^[0-9]$/.test(key)) return "digit";
  return COMMANDS[key.toLowerCase()] ?? null;
}

export class Entry {
  // `digits` is 3 or 4, or null while the reader has not said which; `loose` cards each begin with their number.
  constructor({ loose = false, digits = null } = {}) {
    this.loose = loose;
    this.digits = digits;
    this.typed = "";
    this.asksNumber = loose; // the digits are a contestant's number, until Enter
    this.asksHabit = false; // three digits or four?
    this.asksUndo = false; // the last reading goes back if the same key comes again
    this.stopped = false; // a digit was refused: nothing counts until the reader has noticed
    this.followed = null; // the animal that came by itself, until the next key
  }

  // What to do, as {do: ..., ...}; null for a key that means nothing here. `expects`: a number is on show.
  press(key, expects = true) {
    const what = meaning(key);
    if (!what) return null;
    const followed = this.followed;
    const sure = this.asksUndo;
    this.followed = null;
    this.asksUndo = false;
    if (this.asksHabit) return this.answerHabit(what);
    if (what === "digit" && key === followed && this.digits === null && !this.typed) return this.askHabit();
    if (what === "help" || what === "seen") return { do: what };
    if (this.stopped) return this.goOn(what);
    if (what === "back") return this.back(sure);
    if (what === "escape") return this.escape();
    if (what === "yes") return null;
    if (this.asksNumber) return this.forNumber(what, key);
    return this.forPlacing(what, key, expects);
  }

  forNumber(what, key) {
    if (what === "digit") {
      if (this.typed.length >= MOST_DIGITS) return refuse("No number is that long.");
      if (key === "0" && !this.typed) return refuse("No number begins with 0.");
      this.typed += key;
      return { do: "show" };
    }
    if (what === "enter") {
      if (!this.typed) return this.loose ? { do: "nothing" } : this.escape();
      const number = Number(this.typed);
      this.clear(false);
      return { do: "choose", number };
    }
    if (what === "undo" && !this.typed) return { do: "undo" };
    if (what === "number") return { do: "nothing" };
    if (what === "skip" && this.loose && !this.typed) return { do: "skip" };
    return refuse(this.typed ? "Enter ends the number." : "First the number of the card, then Enter.");
  }

  forPlacing(what, key, expects) {
    if (what === "digit") return this.digit(key, expects);
    if (what === "enter") {
      if (!this.typed) return { do: "nothing" }; // a habit, and it must do no harm
      if (this.typed.length === 3) return this.commit(this.typed + missing(this.typed));
      return refuse("Not all of the card yet.");
    }
    if (this.typed) return refuse("Finish this card first, or clear it with Backspace.");
    if (what === "number") {
      this.asksNumber = true;
      return { do: "show" };
    }
    if (what === "skip" || what === "undo") return { do: what };
    if (!expects) return refuse("No card is expected now. Type / and its number first.");
    if (what === "unreadable") return this.commit("unreadable");
    return this.commit("");
  }

  digit(key, expects) {
    if (!expects) return refuse("No card is expected now. Type / and its number first.");
    if (!ANIMALS.includes(key)) return this.stop(`There is no animal ${key}.`);
    if (this.typed.includes(key)) return this.stop(`Animal ${key} is placed already.`);
    this.typed += key;
    if (this.typed.length < (this.digits ?? 3)) return { do: "show" };
    if (this.typed.length === 4) return this.commit(this.typed);
    const last = missing(this.typed);
    const action = this.commit(this.typed + last);
    this.followed = last;
    return action;
  }

  // Hands that type on after a mistake would fill this card up with the digits of the next one. So whatever follows is
  // refused as well, until a key that no card holds.
  stop(why) {
    this.stopped = true;
    return refuse(`${why} Press Enter, then type this card again.`);
  }

  goOn(what) {
    if (!["enter", "back", "escape"].includes(what)) return refuse("Press Enter, then type this card again.");
    this.stopped = false;
    this.typed = "";
    return { do: "show" };
  }

  commit(placing) {
    this.clear(this.loose);
    return { do: "commit", placing };
  }

  // Backspace mends what is being typed. With nothing typed it takes the last reading back, if pressed twice: hands
  // that mend a card too eagerly must not undo the one before.
  back(sure) {
    if (this.typed) {
      this.typed = this.typed.slice(0, -1);
      return { do: "show" };
    }
    if (this.asksNumber && !this.loose) return this.escape();
    if (sure) return { do: "undo" };
    return { do: "back" };
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
    const typed = this.typed;
    const asked = this.asksNumber && !this.loose;
    this.clear(this.loose);
    return typed || asked ? { do: "show" } : { do: "unchoose" };
  }

  askHabit() {
    this.asksHabit = true;
    return { do: "ask-habit" };
  }

  answerHabit(what) {
    if (!["enter", "yes", "skip", "number"].includes(what)) return refuse("First answer: three digits or four?");
    this.asksHabit = false;
    this.digits = what === "enter" || what === "yes" ? 4 : 3;
    return { do: "habit", digits: this.digits };
  }

  clear(asksNumber) {
    this.stopped = false;
    this.typed = "";
    this.asksNumber = asksNumber;
  }
}

function missing(typed) {
  return [...ANIMALS].find((animal) => !typed.includes(animal));
}

function refuse(why) {
  return { do: "refuse", why };
}
