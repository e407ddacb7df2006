// Readings on their way. Each is kept on this laptop the moment it is typed, under a name of its own, and leaves when
// the server has answered for it: sent in order, one at a time, again and again until then. The server counts the same
// submission once, so sending too often does no harm; losing one would.

import * as keep from "./desk-keep.js";

const TIMEOUT = 5000;
const LONGEST_WAIT = 5000;
const LEASE = 8000; // longer than TIMEOUT: while one tab waits for an answer, no other sends
const ASK_AGAIN = 3000;

export class Outbox extends EventTarget {
  constructor({ desk, who, addresses }, token) {
    super();
    this.desk = desk;
    this.who = who;
    this.addresses = addresses;
    this.token = token;
    this.tab = identifier();
    const shelf = encodeURIComponent(desk); // a name may hold anything, and a colon ends it here
    this.start = `tanbark:${shelf}:`;
    this.leaseName = `tanbark-sender:${shelf}`;
    this.tries = 0;
    this.busy = false;
    this.offlineSince = null;
    this.why = ""; // in the server's own words, where it answers and cannot save
    this.out = false; // not let in any more; what is kept waits until the reader has joined again
    this.savedAt = null;
    this.channel = new BroadcastChannel(this.start);
    this.channel.addEventListener("message", (message) => this.heard(message.data));
    // What another tab has put or removed is seen here a moment later, and after its message.
    addEventListener("storage", (event) => event.key?.startsWith(this.start) && this.changed());
    addEventListener("online", () => this.hurry());
    addEventListener("pagehide", () => this.release());
    addEventListener("pageshow", () => this.pump());
  }

  // What is kept, in order. An entry that was `refused` stays until somebody has seen it.
  entries() {
    return keep.names(this.start).map((name) => ({ ...keep.get(name), name })).filter((entry) => entry.submission);
  }

  waiting() {
    return this.entries().filter((entry) => !entry.refused);
  }

  // How many of other people's readings this laptop keeps for the same contest, by name.
  ofOthers() {
    const contest = this.desk.split("-", 2).join("-");
    const found = new Map();
    for (const name of keep.names(`tanbark:${contest}-`)) {
      const entry = keep.get(name);
      if (!name.startsWith(this.start) && entry?.submission && !entry.refused) {
        found.set(entry.by, (found.get(entry.by) ?? 0) + 1);
      }
    }
    return found;
  }

  // `body` is what the server is sent, `shown` whatever the page says of it while it waits and when it is answered.
  addReading(shown, body) {
    return this.add({ ...shown, kind: "reading", to: this.addresses.readings, body });
  }

  // `shown` is of the reading that goes back.
  addTakeBack(shown, reading) {
    const to = this.addresses.takeBack.replace(/[0-9a-f-]{36}/, reading.submission);
    return this.add({ ...shown, kind: "take-back", of: reading.submission, to });
  }

  // A form, as [name, value] pairs; one of them is `by`. `submission` is the one that the page gave it.
  addForm(shown, { to, body, submission = identifier() }) {
    return this.add({ ...shown, kind: "form", to, body, submission });
  }

  acknowledge(submission) {
    const entry = this.entries().find((other) => other.submission === submission);
    if (entry) keep.remove(entry.name);
    this.tell({ seen: submission });
  }

  add(fields) {
    const entry = { submission: identifier(), by: this.who, tab: this.tab, sent: false, ...fields };
    const last = keep.names(this.start).at(-1)?.slice(this.start.length, this.start.length + 16);
    const order = String(Math.max(Date.now() * 1000, Number(last ?? 0) + 1)).padStart(16, "0");
    entry.name = `${this.start}${order}-${entry.submission}`;
    this.save(entry);
    this.tell({});
    queueMicrotask(() => this.pump());
    return entry;
  }

  save({ name, ...entry }) {
    keep.put(name, entry);
  }

  async pump() {
    clearTimeout(this.timer);
    if (this.busy || this.out) return;
    const entry = this.waiting()[0];
    if (!entry) {
      this.release();
      this.tries = 0;
      this.changed();
      return;
    }
    if (!this.takeLease()) {
      this.wake(1000);
      return;
    }
    this.busy = true;
    const wait = await this.send(entry).finally(() => (this.busy = false));
    if (wait) this.wake(wait);
    else this.pump();
  }

  // Returns how long to wait before the next try, 0 to go on at once.
  async send(entry) {
    // A reading that never left goes with its taking back. Only where both are this tab's own: another tab's might be
    // on their way at this very moment.
    const takenBack = entry.kind === "reading" && !entry.sent && entry.tab === this.tab && this.takeBackOf(entry);
    if (takenBack) {
      keep.remove(entry.name);
      keep.remove(takenBack.name);
      this.answered(takenBack, { kind: "taken-back", text: gettext("taken back before it was sent") });
      return 0;
    }
    if (!entry.sent) {
      entry.sent = true;
      this.save(entry);
    }
    const { status, answer } = await this.post(entry);
    if (status === 401 || status === 403 || status === 404) {
      this.shutOut();
      return 0;
    }
    if (!answer || status >= 500 || status === 429) {
      this.tries += 1;
      this.offlineSince ??= new Date();
      this.why = answer?.kind === "not-saved" ? answer.text : "";
      this.changed();
      return Math.min(1000 * this.tries, LONGEST_WAIT);
    }
    this.tries = 0;
    this.offlineSince = null;
    this.why = "";
    if (answer.kind === "refused") {
      this.save({ ...entry, refused: answer.text });
    } else {
      this.savedAt = new Date();
      keep.remove(entry.name);
    }
    this.answered(entry, answer);
    return 0;
  }

  takeBackOf(reading) {
    const ours = this.waiting().filter((entry) => entry.kind === "take-back" && entry.tab === this.tab);
    return ours.find((entry) => entry.of === reading.submission);
  }

  post(entry) {
    const { to, submission } = entry;
    if (entry.kind === "form") return this.fetch(to, new URLSearchParams([...entry.body, ["submission", submission]]));
    return this.fetch(to, { ...entry.body, submission, by: this.who });
  }

  // Asks the server. Only an answer in our own words counts as one: a hall's network may answer in the server's name.
  async fetch(address, body) {
    const isForm = body instanceof URLSearchParams;
    const abort = new AbortController();
    const timer = setTimeout(() => abort.abort(), TIMEOUT);
    try {
      const response = await fetch(address, {
        method: body ? "POST" : "GET",
        headers: {
          Accept: "application/json",
          "Content-Type": isForm ? "application/x-www-form-urlencoded" : "application/json",
          "X-CSRFToken": this.token,
        },
        body: isForm ? body : body && JSON.stringify(body),
        cache: "no-store",
        redirect: "manual",
        signal: abort.signal,
      });
      const answer = await response.json().catch(() => null);
      return { status: response.status, answer: typeof answer === "object" ? answer : null };
    } catch {
      return { status: 0, answer: null };
    } finally {
      clearTimeout(timer);
    }
  }

  // Nothing is sent until the reader has joined again, here or in another tab; then everything goes out by itself.
  shutOut() {
    this.out = true;
    this.release();
    this.changed();
    const ask = async () => {
      const { status, answer } = await this.fetch(this.addresses.hello);
      if (status === 200 && answer?.desk === this.desk) {
        this.token = answer.token;
        this.out = false;
        this.changed();
        this.pump();
      } else {
        setTimeout(ask, ASK_AGAIN);
      }
    };
    ask();
  }

  hurry() {
    this.tries = 0;
    this.pump();
  }

  wake(milliseconds) {
    clearTimeout(this.timer);
    this.timer = setTimeout(() => this.pump(), milliseconds);
  }

  // One tab sends at a time, so that what was typed first goes out first. A tab that dies loses its turn.
  takeLease() {
    const lease = keep.get(this.leaseName);
    if (lease && lease.tab !== this.tab && lease.until > Date.now() && lease.until <= Date.now() + LEASE) return false;
    keep.put(this.leaseName, { tab: this.tab, until: Date.now() + LEASE });
    return true;
  }

  release() {
    if (keep.get(this.leaseName)?.tab === this.tab) keep.remove(this.leaseName);
  }

  answered(entry, answer) {
    this.tell({ entry, answer });
  }

  // Every tab of this reader hears what every other does.
  tell(news) {
    this.channel.postMessage(news);
    this.changed();
    this.pass(news);
  }

  heard(news) {
    if (news.answer && news.answer.kind !== "refused") this.savedAt = new Date();
    if (news.answer) this.offlineSince = null;
    this.changed();
    this.pass(news);
    this.pump();
  }

  pass(news) {
    if (news.answer) this.dispatchEvent(new CustomEvent("answer", { detail: news }));
  }

  changed() {
    this.dispatchEvent(new Event("change"));
  }
}

// A random UUID. The browser's own maker of them is missing on pages served over plain http.
function identifier() {
  const bytes = crypto.getRandomValues(new Uint8Array(16));
  bytes[6] = (bytes[6] & 0x0f) | 0x40;
  bytes[8] = (bytes[8] & 0x3f) | 0x80;
  const hex = [...bytes].map((byte) => byte.toString(16).padStart(2, "0")).join("");
  return hex.replace(/^(.{8})(.{4})(.{4})(.{4})(.{12})$/, "$1-$2-$3-$4-$5");
}
