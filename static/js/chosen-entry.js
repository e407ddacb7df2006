// What the keys mean while cards or sheets of a part with a key are entered, one for each contestant. What is typed of one
// is its children's: `type` takes a key of the meaning `typing`, `wrong` one that does not fit, `end` is Enter, and
// `settle` sends it.

import { Typed, refuse } from "./desk-typed.js";

export class ChosenEntry extends Typed {
  constructor({ commands, numbersFirst, typing, words }) {
    const first = gettext("First the number of the contestant, then Enter.");
    super({ commands, numbersFirst, wake: "Backspace", words: { first, ...words } });
    this.typing = typing;
  }

  forValue(what, key, expects) {
    if ([this.typing, "digit", "none", "unreadable"].includes(what) && !expects) return refuse(this.words.unexpected);
    if (what === this.typing) return this.type(key);
    if (what === "enter") return this.typed ? this.end() : { do: "nothing" }; // from habit, and it must do no harm
    if (this.typed || what === "digit") return this.wrong(key);
    if (what === "none") return this.settle("");
    if (what === "unreadable") return this.settle("unreadable");
    if (what === "number") {
      this.asksNumber = true;
      return { do: "show" };
    }
    return { do: what }; // skip or undo
  }
}
