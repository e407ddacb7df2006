// What reading cards and entering scores have in common: the keys go to the entry, the readings to the outbox, and the
// run, the stage and the list of the last readings follow. `CardPage` and `ScorePage` say what a reading is and what is
// said of a number that is typed. Teams, which have no numbers, are chosen by their place in a list.

import { listen } from "./desk-hands.js";
import { LastReadings, isTrouble } from "./desk-last.js";
import { Outbox } from "./desk-outbox.js";
import { Practice } from "./desk-practice.js";
import { Run } from "./desk-run.js";
import { showSign } from "./desk-sign.js";
import * as sounds from "./desk-sounds.js";

const SAID = { settled: gettext("%s settled."), right: gettext("%s is right.") };
const ASK_AGAIN = 2000;
const TOLD_AGAIN = 4000;

export class DeskPage {
  // `words` says what is odd about a number: `unknown` and `done` of the number, `none` and `odd` of the reason.
  constructor({ page, entry, stage, words }) {
    this.page = page;
    this.entry = entry;
    this.stage = stage;
    this.words = words;
    this.outbox = page.practice ? new Practice(page) : new Outbox(page, document.querySelector("[name=csrfmiddlewaretoken]").value);
    this.last = new LastReadings(document.getElementById("last"), page.stack, {
      takeBack: (item) => this.takeBack(item),
      acknowledge: (item) => this.acknowledge(item),
    });
    this.known = new Set(page.known);
    this.places = new Map(Object.entries(page.names ?? {}).map(([number, { of }]) => [of, Number(number)]));
    this.asked = false; // whether the server has said what remains
    this.asking = false;
    this.hurry = () => {}; // asks at once, instead of after a little while
    this.acts = {
      nothing: () => {},
      show: () => this.draw(),
      refuse: ({ why }) => this.trouble(why),
      commit: (action) => this.commit(action),
      choose: ({ number }) => this.choose(number),
      unchoose: () => this.unchoose(),
      skip: () => this.skip(),
      back: () => this.back(),
      undo: () => (this.last.latest ? this.takeBack(this.last.latest) : this.trouble(gettext("There is nothing to take back."))),
      help: () => stage.toggleHelp(),
      seen: () => this.seen(),
    };
  }

  begin() {
    const { page, last, outbox, stage, entry } = this;
    const here = page.expected.map((number) => [number, this.onItsWay(number) === "reading"]);
    here.push(...page.done.map((number) => [number, !this.onItsWay(number)?.startsWith("take-back")]));
    const numbers = (read) => here.filter(([, isRead]) => isRead === read).map(([number]) => number);
    this.run = new Run(numbers(false), numbers(true));
    outbox.addEventListener("answer", ({ detail: { entry: sent, answer } }) => {
      if (!this.tells(sent)) return; // of a page that reads something else, which shares the outbox
      if (sent.kind === "take-back") this.tookBack(sent, answer);
      else if (sent.kind === "reading") this.wasRead(sent, answer);
      else this.wasDone(sent, answer);
    });
    listen({ stage, entry, outbox, press: (key) => this.press(key), trouble: (why) => this.trouble(why) });
    for (const reading of page.recent.reverse()) last.add(reading);
    for (const kept of outbox.entries().filter((kept) => this.tells(kept))) {
      if (kept.kind === "reading") last.add({ ...kept, kind: kept.refused ? "refused" : "waiting", text: kept.refused ?? "" });
      else if (last.find(kept.of)) last.change(kept.of, "taken-back", gettext("taken back"));
    }
    showSign(document.getElementById("sign"), outbox, (text) => stage.alert(text));
    this.draw();
    if (this.phase() !== "first") this.askWhatRemains();
    stage.focus();
    this.takeEarly();
    outbox.pump();
  }

  // What was typed or tapped before this script listened.
  takeEarly() {
    const { hear, feel, keys } = window.deskEarly;
    document.removeEventListener("keydown", hear);
    document.removeEventListener("click", feel);
    for (const key of keys) this.press(key);
  }

  // What of a number waits to be sent, the newest of it: a `reading`, a `take-back`, or that of all.
  onItsWay(number) {
    const of = (one) => this.numberOf(one) === number || (one.kind === "take-back-all" && one.stack === this.page.stack);
    return this.outbox.waiting().filter(of).at(-1)?.kind;
  }

  // What else a page sends is answered.
  wasDone() {}

  // Whether a reading belongs to this kind of page.
  tells(item) {
    return item.room === this.page.room;
  }

  // A number is what is typed; `owner` is what the server knows the same contestant or team by.
  numberOf(item) {
    return item.stack === this.page.stack ? this.numberOfOwner(item.owner) : null;
  }

  numberOfOwner(owner) {
    return this.page.names ? (this.places.get(owner) ?? null) : owner;
  }

  // Keys

  press(key) {
    const action = this.entry.press(key, this.run.now !== null);
    if (!action) return false;
    this.acts[action.do](action);
    return true;
  }

  trouble(why) {
    sounds.buzz();
    this.draw();
    this.stage.trouble(why);
  }

  // `value` is what was read, as the server is sent it by `body`; `gave` is the same in words.
  commit({ value, gave }) {
    const { room, stack, label, names } = this.page;
    const number = this.run.now;
    const owner = names ? names[number].of : number;
    const phase = this.phase();
    const shown = { room, stack, label, whose: this.stage.whose(number), owner, gave };
    const sent = this.outbox.addReading(shown, this.body(owner, value));
    this.last.add({ ...sent, kind: "waiting", text: "" });
    this.run.finish(number);
    sounds.tick();
    this.draw();
    const next = this.run.now === null || this.entry.asksNumber ? null : this.stage.whose(this.run.now);
    this.stage.say(next === null ? `${this.told(sent)}.` : interpolate(gettext("%s. Now %s."), [this.told(sent), next]));
    if (this.phase() !== phase) this.askWhatRemains();
  }

  told(item) {
    return `${item.whose}: ${item.gave}`;
  }

  phase() {
    if (this.page.loose) return "loose";
    return this.run.ended ? "ended" : this.run.leftover ? "leftover" : "first";
  }

  choose(number) {
    if (this.page.names && !this.page.names[number]) {
      this.entry.mendNumber(number);
      this.trouble(interpolate(gettext("There is no team %s in the list."), [number]));
      return;
    }
    this.run.choose(number);
    const note = this.oddness(number);
    if (note) sounds.news();
    this.draw(note);
  }

  oddness(number) {
    const { words, page, run } = this;
    if (!this.known.has(number)) return words.unknown(number);
    if (page.none[number]) return words.none(page.none[number]);
    if (page.odd[number]) return words.odd(page.odd[number]);
    return run.done.has(number) ? words.done(this.stage.whose(number)) : "";
  }

  unchoose() {
    this.run.unchoose();
    this.entry.clear(this.entry.numbersFirst);
    this.draw();
  }

  skip() {
    if (this.run.ended && !this.page.loose) {
      this.goOn();
      return;
    }
    const chosen = this.run.chosen !== null;
    if (this.entry.numbersFirst && !chosen) return;
    const whose = this.stage.whose(this.run.now);
    const phase = this.phase();
    this.run.skip();
    this.entry.clear(this.entry.numbersFirst);
    this.draw(chosen ? "" : interpolate(gettext("%s is left for later."), [whose]));
    if (this.phase() !== phase) this.askWhatRemains();
  }

  back() {
    if (this.run.chosen !== null) {
      this.entry.mendNumber(this.run.chosen);
      this.run.unchoose();
      this.draw();
      return;
    }
    const latest = this.last.latest;
    if (!latest) {
      this.trouble(gettext("There is nothing to take back."));
      return;
    }
    this.entry.askUndo();
    this.draw(interpolate(gettext("Once more takes back %s."), [this.told(latest)]));
  }

  seen() {
    const refused = this.last.items.find((item) => item.kind === "refused");
    if (refused) this.acknowledge(refused);
  }

  // Taking back

  takeBack(item) {
    item.goingBack = true;
    const { room, stack, label, whose, owner, gave } = item;
    this.outbox.addTakeBack({ room, stack, label, whose, owner, gave }, item);
    this.last.change(item.submission, "taken-back", gettext("taken back"));
    const number = this.numberOf(item);
    this.entry.clear(number === null && this.entry.numbersFirst);
    if (number !== null) {
      this.run.done.delete(number);
      if (this.entry.numbersFirst) this.run.choose(number);
      else this.run.reopen(number);
    }
    sounds.news();
    this.draw(interpolate(gettext("Taken back: %s, %s."), [whose, gave]));
    this.stage.focus();
  }

  acknowledge(item) {
    this.outbox.acknowledge(item.submission);
    this.last.drop(item.submission);
    this.draw();
    this.stage.focus();
  }

  // Answers

  wasRead(sent, { kind, text }) {
    const { last, run, stage } = this;
    if (!last.find(sent.submission)) last.add({ ...sent, kind, text }); // typed in another tab
    if (last.find(sent.submission).kind === "taken-back") return;
    last.change(sent.submission, kind, text);
    const { whose, gave } = sent;
    if (!isTrouble(kind)) {
      stage.say(interpolate(SAID[kind] ?? gettext("%s saved."), [whose]));
      return;
    }
    sounds.news();
    const number = this.numberOf(sent);
    if (kind === "refused" && run.wanted.has(number) && run.done.has(number)) {
      run.expectLater(number);
      this.draw();
    }
    stage.news(`${whose}, ${gave}: ${text}`);
  }

  tookBack(sent, { kind, text }) {
    const item = this.last.find(sent.of);
    if (item) item.goingBack = false;
    if (kind !== "refused") return;
    this.outbox.acknowledge(sent.submission); // said here, where the reading itself stays in sight
    this.last.change(sent.of, "stays", interpolate(gettext("not taken back: %s"), [text]));
    const number = this.numberOf(sent);
    if (number !== null && this.entry.typed === "" && this.run.now === number) this.run.finish(number);
    sounds.buzz();
    this.draw();
    this.stage.news(interpolate(gettext("%s is not taken back: %s"), [sent.whose, text]));
  }

  // The end

  // At the end of a stack what remains is told again and again: somebody comes late, another stack is free by then.
  async askWhatRemains() {
    this.asked = false; // what was said before may be so no more
    this.version = "";
    this.hurry();
    if (this.asking) return;
    this.asking = true;
    while (this.phase() === "ended" || (this.phase() === "leftover" && !this.asked)) {
      if (!this.outbox.out && !this.outbox.waiting().length) {
        const address = new URL(this.page.addresses.expected, location.href);
        address.searchParams.set("v", this.version);
        const asked = this.state();
        const { status, answer } = await this.outbox.fetch(address);
        if (this.state() !== asked) continue; // something was read or taken back meanwhile, and the answer is of before
        if (answer?.numbers) this.isTold(answer);
        else if (status === 401) this.outbox.shutOut();
        else if (status !== 204) this.isNotTold();
      }
      await this.moments(this.asked ? TOLD_AGAIN : ASK_AGAIN);
    }
    this.asking = false;
  }

  state() {
    return JSON.stringify([this.run.left, this.run.read, this.outbox.waiting().length]);
  }

  isTold(answer) {
    const known = () => JSON.stringify([this.asked, this.run.left, this.following]);
    const before = known();
    this.bringInStep(answer);
    this.asked = true;
    this.version = answer.version;
    if (known() !== before) this.draw();
  }

  isNotTold() {
    if (!this.asked) return;
    this.asked = false;
    this.draw();
  }

  bringInStep({ numbers }) {
    this.run.bringInStep(numbers.map((owner) => this.numberOfOwner(owner)).filter(Boolean));
  }

  // Until something changes, or a little while has passed.
  moments(most) {
    return new Promise((go) => {
      this.hurry = go;
      this.outbox.addEventListener("change", go, { once: true });
      setTimeout(go, most);
    });
  }

  goOn() {
    if (this.outbox.out || this.outbox.offlineSince) this.trouble(gettext("That works when this device is connected again."));
    else if (!this.asked || this.outbox.waiting().length) this.trouble(gettext("A moment: the last readings are still on their way."));
    else this.leave();
  }

  leave() {
    this.stage.leave();
  }

  draw(note = "") {
    this.stage.draw({ run: this.run, entry: this.entry, asked: this.asked, note });
  }
}
