// Draws whose score is expected now, what is typed of it, and everything that is said about it.

import { Stage } from "./desk-stage.js";

export class ScoreStage extends Stage {
  draw({ run, entry, asked, note }) {
    const mode = entry.asksNumber ? "number" : run.ended ? "end" : "score";
    this.desk.dataset.mode = mode;
    this.desk.dataset.trouble = "";
    const line = this.page.names?.[run.now];
    this.part("label").textContent = this.label(run, mode, line);
    this.part("now").textContent = mode === "number" ? entry.typed : (line?.name ?? run.now ?? "");
    this.part("now").classList.toggle("in-words", mode === "score" && Boolean(line));
    this.part("typed").textContent = mode === "score" ? (entry.exact ? "∗" : "") + entry.typed : "";
    this.drawProgress(run, note);
    this.drawEnd(run, entry, asked);
    this.field.value = entry.typed;
    this.field.setAttribute("aria-label", this.about(run, mode, entry));
  }

  label(run, mode, line) {
    if (mode === "number") return this.page.names ? "Number of the team in the list, then Enter" : "Number on the slip, then Enter";
    if (mode === "end") return "";
    const whose = line ? `Team, ${line.division}` : "Contestant";
    if (run.chosen !== null) return `Out of order: ${whose.toLowerCase()}`;
    if (run.again.includes(run.now)) return `Once more: ${whose.toLowerCase()}`;
    return run.leftover ? `Left over: ${whose.toLowerCase()}` : whose;
  }

  about(run, mode, entry) {
    if (mode === "number") return this.label(run, mode);
    if (mode === "end") return "Command";
    return `Score of ${this.whose(run.now)}, 0 to ${entry.most}${entry.endsAtTwo ? "" : ", then Enter"}`;
  }

  whose(number) {
    return this.page.names?.[number]?.name ?? String(number);
  }

  drawEnd(run, entry, asked) {
    const end = this.part("end");
    end.hidden = !run.ended || entry.typed !== "";
    if (end.hidden) return;
    const left = run.left.map((number) => this.whose(number));
    this.part("end-title").textContent = left.length
      ? `Not read by you: ${left.join(", ")}`
      : "You have entered all that is left for you here.";
    this.part("go-on").hidden = !asked;
  }
}
