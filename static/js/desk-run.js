// The order of a stack: which number is expected now, which come next, which were left for later.
// Once begun it is never changed under the reader's hands: what others settle meanwhile stays in, as its card stays
// in the pile. Only at the end is it brought in step with what the server still expects.

const ascending = (one, other) => one - other;
const without = (numbers, number) => numbers.filter((other) => other !== number);

export class Run {
  // `done` are those of the stack that were read before the page was loaded.
  constructor(expected, done = []) {
    this.ahead = [...expected].sort(ascending);
    this.wanted = new Set([...expected, ...done]);
    this.later = [];
    this.again = []; // taken back, to be read anew at once
    this.chosen = null; // a card out of order
    this.done = new Set(done);
    this.leftover = false; // the second round, through those that were skipped
  }

  get now() {
    return this.chosen ?? this.again[0] ?? this.ahead[0] ?? null;
  }

  get next() {
    return [...this.again, ...this.ahead].filter((number) => number !== this.now);
  }

  get left() {
    return [...this.again, ...this.ahead, ...this.later].sort(ascending);
  }

  // How many of those expected are read.
  get read() {
    return [...this.wanted].filter((number) => this.done.has(number)).length;
  }

  get ended() {
    return this.now === null;
  }

  choose(number) {
    this.chosen = number;
  }

  unchoose() {
    this.chosen = null;
  }

  finish(number) {
    this.drop(number);
    this.chosen = null;
    this.done.add(number);
    this.turn();
  }

  skip() {
    if (this.chosen !== null) {
      this.chosen = null;
      return;
    }
    const number = this.now;
    if (number === null) return;
    this.drop(number);
    this.later.push(number);
    this.turn();
  }

  // A reading was taken back: its card comes again now.
  reopen(number) {
    this.drop(number);
    this.done.delete(number);
    this.chosen = null;
    this.again.unshift(number);
  }

  // A reading was refused: its card has still to be read, though not in the middle of the others.
  expectLater(number) {
    this.drop(number);
    this.done.delete(number);
    (this.leftover ? this.ahead : this.later).push(number);
    this.turn();
  }

  // What the server still expects, at the end: late arrivals come in, what others have settled goes out.
  bringInStep(numbers) {
    const expected = new Set(numbers);
    const keep = (number) => number === this.now || expected.has(number);
    this.ahead = this.ahead.filter(keep);
    this.later = this.later.filter(keep);
    const here = new Set([...this.left, ...this.done]);
    this.wanted = new Set([...here, ...numbers].filter((number) => this.wanted.has(number) || expected.has(number)));
    const arrived = numbers.filter((number) => !here.has(number));
    this.ahead = [...this.ahead, ...arrived];
  }

  drop(number) {
    this.ahead = without(this.ahead, number);
    this.later = without(this.later, number);
    this.again = without(this.again, number);
  }

  turn() {
    if (this.leftover || this.ahead.length || this.again.length || !this.later.length) return;
    this.ahead = this.later.sort(ascending);
    this.later = [];
    this.leftover = true;
  }
}
