// The stage of a page where scores are entered.

import { Stage } from "./desk-stage.js";

export class ScoreStage extends Stage {
  constructor(desk, page) {
    super(desk, page, {
      mode: "score",
      askNumber: "Number on the slip, then Enter",
      owner: "Contestant",
      value: (whose, entry) => `Score of ${whose}, 0 to ${entry.most}${entry.endsAtTwo ? "" : ", then Enter"}`,
      all: "You have entered all that is left for you here.",
    });
  }

  drawTyped(entry, mode) {
    this.part("typed").textContent = mode === "score" ? (entry.exact ? "∗" : "") + entry.typed : "";
  }
}
