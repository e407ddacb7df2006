// The page where cards are read: a placing each, of one class.

import { Entry } from "./desk-entry.js";
import * as keep from "./desk-keep.js";
import { DeskPage } from "./desk-page.js";
import { Pictures } from "./desk-pictures.js";
import * as sounds from "./desk-sounds.js";
import { CardStage } from "./desk-stage-cards.js";
import { Run } from "./desk-run.js";
import { WholeStack } from "./desk-whole.js";

const EVERY = 10; // cards: that a pile has shifted by one shows in nothing else than the number on a card

const there = (why) => [why, gettext("Type the card if it is really there, or Backspace to mend the number.")].join(" ");
const WORDS = {
  unknown: (number) =>
    interpolate(gettext("Nobody has number %s. Backspace to mend it, or type the card: it is kept as a doubt."), [number]),
  none: there,
  odd: there,
  done: (number) => interpolate(gettext("You have read %s already. Type the card only if there are two."), [number]),
};

class CardPage extends DeskPage {
  constructor(page) {
    const habit = `tanbark-digits:${page.who.toLowerCase()}`;
    super({
      page,
      entry: new Entry({ loose: page.loose, digits: keep.get(habit), animals: page.animals }),
      stage: new CardStage(document.getElementById("desk"), page),
      words: WORDS,
    });
    this.habit = habit;
    const pictures = document.getElementById("pictures");
    this.pictures = pictures && new Pictures(pictures, page.pictures);
    this.whole = page.group === undefined ? null : new WholeStack(this, () => this.readAnew());
    this.following = null; // the stack to take next
    this.leaving = false; // the next page is on its way
    this.acts.check = ({ number }) => this.check(number);
    this.acts.habit = ({ digits }) => {
      keep.put(habit, digits);
      const usual = digits === 3 ? gettext("Three digits a card.") : gettext("Four digits a card.");
      const other = digits === 3 ? gettext("All animals but the last.") : gettext("All animals of a card.");
      this.draw(page.animals.length === 4 ? usual : other);
    };
  }

  begin() {
    super.begin();
    addEventListener("pageshow", () => (this.leaving = false)); // the browser may have kept it, and bring it back
    for (const radio of document.querySelectorAll("[name=digits]")) {
      radio.addEventListener("change", () => this.typeDigits(Number(radio.value)));
    }
  }

  typeDigits(digits) {
    this.entry.digits = digits;
    this.entry.asksHabit = false;
    this.entry.clear(this.page.loose && this.run.chosen === null);
    keep.put(this.habit, digits);
    this.draw();
    this.stage.focus();
  }

  press(key) {
    if (!this.leaving) return super.press(key);
    this.trouble(gettext("Wait for the next stack."));
    return true;
  }

  body(number, placing) {
    return { class_number: this.page.classNumber, number, placing };
  }

  commit(action) {
    super.commit(action);
    const { entry, page, run } = this;
    if (page.loose || page.practice || run.ended || run.done.size % EVERY !== EVERY - 1) return;
    if (this.pictures?.has(run.now)) return; // a picture is known to be of its number
    entry.checkNumber();
    this.draw();
    this.stage.say(gettext("Now the number on the card, then Enter."));
  }

  // The number on the card is the one that was expected; or it is another one's, and somebody has to look.
  check(number) {
    const expected = this.run.now;
    if (number === expected) {
      this.draw(gettext("The pile lies as expected."));
      return;
    }
    this.choose(number);
    if (!this.oddness(number)) {
      this.trouble(interpolate(gettext("%s was expected. Is a card missing, or were the last ones read a place off?"), [expected]));
    }
  }

  wasRead(sent, answer) {
    super.wasRead(sent, answer);
    this.whole?.heard(sent, answer.kind);
  }

  wasDone(sent, answer) {
    if (sent.stack === this.page.stack) this.whole?.wasDone(sent, answer);
  }

  // All of the stack is to be read once more.
  readAnew() {
    const { last, page, run } = this;
    const here = (item) => item.stack === page.stack && run.done.has(this.numberOf(item)) && item.kind !== "refused";
    for (const item of last.items.filter(here)) last.change(item.submission, "taken-back", gettext("taken back"));
    this.run = new Run(run.wanted);
    this.entry.clear(this.entry.numbersFirst);
  }

  bringInStep(answer) {
    super.bringInStep(answer);
    this.following = answer.next;
  }

  leave() {
    this.leaving = true;
    if (this.following) this.stage.take(this.following);
    else this.stage.leave();
  }

  draw(note = "") {
    this.stage.draw({ run: this.run, entry: this.entry, following: this.following, asked: this.asked, note });
    this.whole?.draw();
    this.pictures?.draw(this.run);
  }
}

new CardPage(JSON.parse(document.getElementById("desk-page").textContent)).begin();
