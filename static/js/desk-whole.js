// A stack as a whole: asks whether it is really the one that it is read as, where readings in a row differ from somebody
// else's, or all of them together say otherwise once it ends; and takes back at once all that was read of it.

import * as sounds from "./desk-sounds.js";

const IN_A_ROW = 3;

export class WholeStack {
  // `redo` lets all numbers of the stack be read anew; `words` is what the page calls the stack.
  constructor(desk, redo) {
    this.desk = desk;
    this.redo = redo;
    this.differ = 0; // readings in a row that differ from somebody else's
    this.sure = false; // whoever reads has said that it is that stack
    desk.acts["stack-is-right"] = () => {
      this.sure = true;
      desk.draw();
      desk.stage.focus();
    };
    desk.acts["stack-is-wrong"] = () => this.takeAllBack();
    this.part("all-back").addEventListener("click", () => this.takeAllBack());
    this.part("bring-back").addEventListener("click", () => this.bringBack());
  }

  part(name) {
    return this.desk.stage.part(name);
  }

  draw() {
    this.part("all-back").hidden = !this.desk.run.done.size;
  }

  async heard(sent, kind) {
    if (sent.stack !== this.desk.page.stack || this.sure) return;
    this.differ = kind === "differs" ? this.differ + 1 : 0;
    if (this.differ >= IN_A_ROW) this.ask(this.part("whole-why").dataset.differ);
    else if (this.desk.run.ended && !this.desk.outbox.waiting().length) {
      const { answer } = await this.desk.outbox.fetch(this.desk.page.addresses["whole-looks"]);
      if (answer?.mixed_up) this.ask(answer.mixed_up);
    }
  }

  ask(why) {
    const { entry, stage } = this.desk;
    if (this.sure || entry.asksStack) return;
    this.differ = 0;
    this.part("whole-why").textContent = why;
    entry.askStack();
    sounds.buzz();
    this.desk.draw();
    stage.alert(document.getElementById("whole-question").textContent.trim());
    stage.focus();
  }

  send(kind, name, body) {
    const { outbox, page } = this.desk;
    const { room, stack, label } = page;
    outbox.add({ room, stack, label, whose: label, gave: "", kind, to: page.addresses[name], body });
  }

  takeAllBack() {
    this.desk.entry.asksStack = false;
    this.send("take-back-all", "whole-take-back", { group: this.desk.page.group });
    this.redo();
    sounds.news();
    this.desk.draw(gettext("All that you read of this stack is taken back."));
    this.desk.stage.focus();
  }

  bringBack() {
    this.part("bring-back").hidden = true;
    this.send("bring-back-all", "whole-bring-back", { readings: this.taken });
  }

  wasDone(sent, { kind, text, readings, stay }) {
    const { outbox, run, stage } = this.desk;
    if (kind === "refused") {
      outbox.acknowledge(sent.submission);
      this.desk.trouble(text);
    } else if (sent.kind === "bring-back-all") {
      location.reload();
    } else {
      for (const number of stay) run.finish(number);
      this.taken = readings;
      this.part("bring-back").hidden = !readings.length;
      this.desk.draw(text);
      stage.focus();
    }
  }
}
