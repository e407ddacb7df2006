// The stage of a page where scores are entered.

import { Stage } from "./desk-stage.js";
import { withMark } from "./scores-entry.js";

export class ScoreStage extends Stage {
  constructor(desk, page) {
    super(desk, page, {
      mode: "score",
      askNumber: gettext("Number on the slip, then Enter"),
      owner: gettext("contestant"),
      value: (whose, { endsAtTwo, most }) =>
        interpolate(endsAtTwo ? gettext("Score of %s, 0 to %s") : gettext("Score of %s, 0 to %s, then Enter"), [whose, most]),
      all: gettext("You have entered all that is left for you here."),
    });
  }

  drawTyped(entry, mode) {
    this.part("hint").textContent = entry.endsAtTwo
      ? gettext("Type two digits, such as 43. A star begins a score with fewer or with a decimal.")
      : gettext("Type the score, such as 43 or 43.5, then Enter.");
    this.part("typed").textContent = mode === "score" ? (entry.exact ? "∗" : "") + withMark(entry.typed) : "";
  }
}
