// Draws whose slip is expected now, what is typed of it, and everything that is said about it. `CardStage` and `ScoreStage`
// say what differs.

const MORE = 3; // as many of the next numbers are shown

export class Stage {
  // `words`: the `mode` while a value is typed, and how the page calls whose it is, the value and the end.
  constructor(desk, page, words) {
    this.desk = desk;
    this.page = page;
    this.words = words;
    this.field = document.getElementById("entry");
    this.between = page.names ? ",  " : "   "; // what parts the next numbers, or the next names
    addEventListener("blur", () => this.away(true));
    addEventListener("focus", () => this.away(false));
    document.addEventListener("visibilitychange", () => document.hidden || this.away(!document.hasFocus()));
    this.away(!document.hasFocus());
  }

  part(name) {
    return this.desk.querySelector(`[data-part=${name}]`);
  }

  draw({ run, entry, asked, note }) {
    const mode = this.mode(run, entry);
    const { name } = this.team(run.now);
    this.desk.dataset.mode = mode;
    this.desk.dataset.trouble = "";
    this.part("label").textContent = this.label(run, mode);
    this.part("now").textContent = mode === "number" ? entry.typed : (name ?? run.now ?? "");
    this.part("now").classList.toggle("in-words", mode !== "number" && Boolean(name));
    this.drawTyped(entry, mode);
    this.drawProgress(run, note);
    this.drawEnd(run, entry, mode, asked);
    this.field.value = entry.typed;
    this.field.setAttribute("aria-label", this.about(run, mode, entry));
  }

  mode(run, entry) {
    return entry.asksNumber ? "number" : run.ended ? "end" : this.words.mode;
  }

  // The name and division of a team, by its number in the list; of a contestant there is none.
  team(number) {
    return this.page.names?.[number] ?? {};
  }

  drawProgress(run, note) {
    this.drawNext(run);
    this.part("read").textContent = this.page.loose ? "" : interpolate(gettext("%s of %s read"), [run.read, run.wanted.size]);
    this.part("bar").setAttribute("width", run.wanted.size ? (100 * run.read) / run.wanted.size : 0);
    this.part("message").textContent = note;
    if (note) this.say(note);
  }

  whose(number) {
    return this.team(number).name ?? String(number);
  }

  label(run, mode) {
    if (mode === "number") return this.page.names ? gettext("Number of the team in the list, then Enter") : this.words.askNumber;
    if (mode === "end") return "";
    const { division } = this.team(run.now);
    const owner = division ? interpolate(gettext("team, %s"), [division]) : this.words.owner;
    if (run.chosen !== null && !this.page.loose) return interpolate(gettext("Out of order: %s"), [owner]);
    if (run.chosen === null && run.again.includes(run.now)) return interpolate(gettext("Once more: %s"), [owner]);
    if (run.chosen === null && run.leftover) return interpolate(gettext("Left over: %s"), [owner]);
    return owner.charAt(0).toUpperCase() + owner.slice(1);
  }

  about(run, mode, entry) {
    if (mode === "number") return this.label(run, mode);
    return mode === "end" ? gettext("Command") : this.words.value(this.whose(run.now), entry);
  }

  drawNext(run) {
    const next = run.next.map((number) => this.whose(number));
    const shown = next.slice(0, MORE).join(this.between);
    const left = next.length - MORE;
    const more = left > 0 ? interpolate(ngettext("and %s more", "and %s more", left), [left]) : "";
    const order = run.leftover ? gettext("also left over") : gettext("then");
    this.part("next").textContent = shown ? [order, shown, more].join("   ").trimEnd() : "";
  }

  drawEnd(run, entry, mode, asked) {
    const end = this.part("end");
    end.hidden = !run.ended || entry.typed !== "" || ["habit", "whole"].includes(mode) || Boolean(this.page.loose);
    if (end.hidden) return;
    const left = run.left.map((number) => this.whose(number));
    this.part("end-title").textContent = left.length
      ? interpolate(gettext("Not read by you: %s"), [left.join(", ")])
      : this.words.all;
    this.part("go-on").hidden = !asked;
  }

  trouble(why) {
    this.desk.dataset.trouble = "now";
    this.part("message").textContent = why;
    this.alert(why);
  }

  news(text) {
    this.part("message").textContent = text;
    this.alert(text);
  }

  say(text) {
    this.part("polite").textContent = text;
  }

  // Said again even when it is the same words as before.
  alert(text) {
    const place = this.part("alert");
    place.textContent = "";
    requestAnimationFrame(() => (place.textContent = text));
  }

  away(away) {
    this.desk.classList.toggle("away", away);
    if (!away) this.focus();
  }

  focus() {
    this.field.focus({ preventScroll: true });
  }

  toggleHelp() {
    const help = this.part("help");
    help.open = !help.open;
    if (help.open) help.scrollIntoView({ block: "nearest" });
  }

  leave() {
    location.assign(this.page.addresses.room);
  }
}

