// The page where cards are read: a placing each, of one class.

import { Entry } from "./desk-entry.js";
import * as keep from "./desk-keep.js";
import { cardsOf } from "./desk-last.js";
import { DeskPage } from "./desk-page.js";
import * as sounds from "./desk-sounds.js";
import { Stage } from "./desk-stage.js";

class CardPage extends DeskPage {
  constructor(page) {
    const habit = `tanbark-digits:${page.who.toLowerCase()}`;
    super({
      page,
      entry: new Entry({ loose: page.loose, digits: keep.get(habit) }),
      stage: new Stage(document.getElementById("desk"), page),
      words: cardsOf(page.classNumber),
    });
    this.habit = habit;
    this.following = null; // the stack to take next
    this.leaving = false; // the next page is on its way
    this.acts["ask-habit"] = () => {
      sounds.news();
      this.draw();
    };
    this.acts.habit = ({ digits }) => {
      keep.put(habit, digits);
      this.draw(digits === 3 ? "Three digits a card. Type this card from its first digit." : "Four digits a card.");
    };
  }

  begin() {
    super.begin();
    addEventListener("pageshow", () => (this.leaving = false)); // the browser may have kept it, and bring it back
    for (const radio of document.querySelectorAll("[name=digits]")) {
      radio.addEventListener("change", () => this.typeDigits(Number(radio.value)));
    }
    document.removeEventListener("keydown", window.deskEarly.hear);
    document.removeEventListener("click", window.deskEarly.feel);
    for (const key of window.deskEarly.keys) this.press(key);
  }

  typeDigits(digits) {
    this.entry.digits = digits;
    this.entry.asksHabit = false;
    this.entry.clear(this.page.loose && this.run.chosen === null);
    keep.put(this.habit, digits);
    this.draw();
    this.stage.focus();
  }

  // Whether a reading is one of a card.
  tells(item) {
    return item.classNumber !== undefined;
  }

  numberOf(item) {
    return item.classNumber === this.page.classNumber ? item.number : null;
  }

  shown({ classNumber, number, placing }) {
    return { classNumber, number, placing };
  }

  press(key) {
    if (!this.leaving) return super.press(key);
    this.trouble("Wait for the next stack.");
    return true;
  }

  commit({ placing }) {
    const number = this.run.now;
    const { classNumber } = this.page;
    this.add({ classNumber, number, placing }, { class_number: classNumber, number, placing });
  }

  oddness(number) {
    const odd = this.page.odd[number];
    if (!this.known.has(number)) return `Nobody has number ${number}. Backspace to mend it, or type the card: it is kept as a doubt.`;
    if (odd) return `${number} ${odd}. Type the card if it is really there, or Backspace to mend the number.`;
    return this.run.done.has(number) ? `You have read ${number} already. Type the card only if there are two.` : "";
  }

  bringInStep({ numbers, next }) {
    this.run.bringInStep(numbers);
    this.following = next;
  }

  leave() {
    this.leaving = true;
    if (this.following) this.stage.take(this.following);
    else this.stage.leave();
  }

  draw(note = "") {
    this.stage.draw({ run: this.run, entry: this.entry, following: this.following, asked: this.asked, note });
  }
}

new CardPage(JSON.parse(document.getElementById("desk-page").textContent)).begin();
