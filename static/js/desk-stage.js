// Draws the card that is expected now, what is typed of it, and everything that is said about it.

const MORE = 3; // as many of the next numbers are shown

export class Stage {
  constructor(desk, page) {
    this.desk = desk;
    this.page = page;
    this.field = document.getElementById("entry");
    this.between = page.names ? ",  " : "   "; // what parts the next numbers, or the next names
    this.boxes = [...desk.querySelectorAll(".box")];
    addEventListener("blur", () => this.away(true));
    addEventListener("focus", () => this.away(false));
    document.addEventListener("visibilitychange", () => document.hidden || this.away(!document.hasFocus()));
    this.away(!document.hasFocus());
  }

  part(name) {
    return this.desk.querySelector(`[data-part=${name}]`);
  }

  draw({ run, entry, following, asked, note }) {
    const mode = entry.asksHabit ? "habit" : entry.asksNumber ? "number" : run.ended ? "end" : "placing";
    this.desk.dataset.mode = mode;
    this.desk.dataset.trouble = "";
    this.part("label").textContent = this.label(run, mode);
    this.part("now").textContent = mode === "number" ? entry.typed : (run.now ?? "");
    this.drawBoxes(entry, mode);
    this.drawProgress(run, note);
    this.drawEnd(run, mode, following, asked);
    this.drawField(run, entry, mode);
    for (const radio of this.desk.querySelectorAll("[name=digits]")) radio.checked = Number(radio.value) === (entry.digits ?? 3);
  }

  drawProgress(run, note) {
    this.drawNext(run);
    this.part("read").textContent = this.page.loose ? "" : `${run.read} of ${run.wanted.size} read`;
    this.part("bar").setAttribute("width", run.wanted.size ? (100 * run.read) / run.wanted.size : 0);
    this.part("message").textContent = note;
    if (note) this.say(note);
  }

  whose(number) {
    return String(number);
  }

  label(run, mode) {
    if (mode === "number") return "Number on the card, then Enter";
    if (mode === "end") return "";
    if (run.chosen !== null) return this.page.loose ? "Card of contestant" : "Out of order: card of contestant";
    if (run.again.includes(run.now)) return "Once more: card of contestant";
    return run.leftover ? "Left over: card of contestant" : "Card of contestant";
  }

  drawBoxes(entry, mode) {
    const typed = mode === "number" ? "" : entry.typed;
    this.boxes.forEach((box, place) => {
      box.textContent = typed[place] ?? "";
      box.classList.toggle("here", place === typed.length && mode === "placing");
      box.classList.toggle("follows", place === 3 && entry.digits !== 4);
    });
  }

  drawNext(run) {
    const next = run.next.map((number) => this.whose(number));
    const shown = next.slice(0, MORE).join(this.between);
    const more = next.length > MORE ? `   and ${next.length - MORE} more` : "";
    this.part("next").textContent = shown ? `${run.leftover ? "also left over" : "then"}   ${shown}${more}` : "";
  }

  drawEnd(run, mode, following, asked) {
    const end = this.part("end");
    end.hidden = mode !== "end" || this.page.loose;
    if (end.hidden) return;
    const left = run.left;
    this.part("end-title").textContent = left.length ? `Not read by you: ${left.join(", ")}` : "You have read all of this stack.";
    this.part("end-left").hidden = !left.length;
    const button = this.part("go-on");
    button.hidden = !asked;
    const second = following?.again ? ", second reading" : "";
    this.part("go-on-text").textContent = following ? `Take ${following.label}${second}` : "Back to the room: no stack is left for you";
  }

  drawField(run, entry, mode) {
    this.field.value = entry.typed;
    const about = mode === "number" ? "Number on the card, then Enter" : mode === "placing" ? `Placing of ${run.now}` : "Command";
    this.field.setAttribute("aria-label", about);
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

  // A question stands in the place of the field, and its first answer has the focus.
  focus() {
    const place = this.desk.dataset.mode === "habit" ? this.part("habit").querySelector("button") : this.field;
    place.focus({ preventScroll: true });
  }

  toggleHelp() {
    const help = this.part("help");
    help.open = !help.open;
    if (help.open) help.scrollIntoView({ block: "nearest" });
  }

  take(stack) {
    const form = this.part("take");
    form.elements.stack.value = stack.stack;
    form.elements.alone.value = stack.shared ? "" : "1";
    form.submit();
  }

  leave() {
    location.assign(this.page.addresses.room);
  }
}

