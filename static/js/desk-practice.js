// What a practice stack has in place of an outbox: it answers by itself what each invented slip says. Nothing is kept and
// nothing is sent.

export class Practice extends EventTarget {
  // `practice`: what each slip says, by its number.
  constructor({ who, practice }) {
    super();
    Object.assign(this, { who, practice, read: new Set(), offlineSince: null, out: false, why: "", savedAt: null });
  }

  entries() {
    return [];
  }

  waiting() {
    return [];
  }

  ofOthers() {
    return new Map();
  }

  addReading(shown, body) {
    const says = this.practice[shown.owner];
    this.read.add(shown.owner);
    const given = body.placing ?? body.points;
    const isRight = given === says || (given !== "" && Number(given) === Number(says));
    const answer = isRight ? { kind: "right" } : { kind: "differs", text: gettext("look again: that is not what it says") };
    return this.answered({ ...shown, kind: "reading", submission: `practice-${crypto.getRandomValues(new Uint32Array(2)).join("-")}` }, answer);
  }

  addTakeBack(shown, reading) {
    this.read.delete(shown.owner);
    return this.answered({ ...shown, kind: "take-back", of: reading.submission }, { kind: "taken-back", text: "" });
  }

  answered(entry, answer) {
    queueMicrotask(() => this.dispatchEvent(new CustomEvent("answer", { detail: { entry, answer } })));
    return entry;
  }

  // What is left, as the server would say it.
  async fetch() {
    const numbers = Object.keys(this.practice).map(Number);
    return { status: 200, answer: { numbers: numbers.filter((number) => !this.read.has(number)) } };
  }

  acknowledge() {}

  pump() {}
}
