// What the keys mean while answer sheets are entered: a letter a question, a full stop or dash for one left blank, a star
// or question mark for one that is not clear, and Enter.
//
// A letter that is an answer means that and no command. A row is sent only when it has as many answers as there are
// questions. A key that is no answer stops the row, or all that follow would be answers of the question before theirs.

import { ChosenEntry } from "./chosen-entry.js";
import { refuse } from "./desk-typed.js";

const COMMANDS = {
  "/": "number", n: "number",
  u: "unreadable",
  m: "none",
  "+": "skip", s: "skip",
  z: "undo", delete: "undo",
  backspace: "back",
  h: "help",
  x: "seen",
  enter: "enter", escape: "escape",
};

const SIGNS = { ".": "-", "-": "-", "*": "*", "?": "*" };
const WORDS = { "": gettext("no answer sheet"), unreadable: gettext("unreadable") };
const ALONE = { "-": "", "*": "unreadable" }; // what one sign says of the whole sheet

export const inFives = (row) => row.replace(/(.{5})(?=.)/g, "$1 ");

export class AnswersEntry extends ChosenEntry {
  constructor({ options, questions, numbersFirst = false }) {
    super({
      commands: COMMANDS,
      numbersFirst,
      typing: "answer",
      words: {
        anew: gettext("Press Backspace, then go on with this answer."),
        unexpected: gettext("No sheet is expected now. Type / and its number first."),
      },
    });
    this.options = options;
    this.questions = questions;
  }

  meaning(key) {
    if (!this.asksNumber && this.sign(key)) return "answer";
    return super.meaning(key) ?? (key.length === 1 && this.typed && !this.asksNumber ? "strange" : null);
  }

  sign(key) {
    if (key.length !== 1) return "";
    return this.options.includes(key.toUpperCase()) ? key.toUpperCase() : (SIGNS[key] ?? "");
  }

  wrong(key) {
    if (key.length > 1) return refuse(gettext("Finish this sheet first, or clear it with Esc."));
    return this.stop(interpolate(gettext("There is no answer %s."), [key.toUpperCase()]));
  }

  type(key) {
    if (this.typed.length === this.questions) {
      return this.stop(interpolate(gettext("All %s answers are there: Enter ends the sheet."), [this.questions]));
    }
    this.typed += this.sign(key);
    return { do: "show" };
  }

  end() {
    if (this.typed in ALONE) return this.settle(ALONE[this.typed]);
    if (this.typed.length === this.questions) return this.settle(this.typed);
    const told = gettext("%s of %s answers: one was left out, or more are to come. It is not saved yet.");
    return refuse(interpolate(told, [this.typed.length, this.questions]));
  }

  // Nothing of a long row is lost by one wrong key.
  goOn(what) {
    if (what === "escape") return this.escape();
    if (what !== "back") return refuse(this.words.anew);
    this.stopped = false;
    return { do: "show" };
  }

  settle(value) {
    this.clear(this.numbersFirst);
    return { do: "commit", value, gave: WORDS[value] ?? inFives(value) };
  }
}
