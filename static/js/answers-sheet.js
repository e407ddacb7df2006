// The page where answer sheets are entered.

import { AnswersEntry, inFives } from "./answers-entry.js";
import { ChosenPage } from "./chosen-page.js";
import { Stage } from "./desk-stage.js";

class AnswersStage extends Stage {
  constructor(desk, page) {
    super(desk, page, {
      mode: "score",
      askNumber: gettext("Number on the sheet, then Enter"),
      owner: gettext("answers of contestant"),
      value: (whose) => interpolate(gettext("What %s answered, then Enter"), [whose]),
      all: gettext("You have read all that is left for you here."),
    });
  }

  drawTyped(entry, mode) {
    const { typed, questions, options } = entry;
    const told = gettext("%s answers, each %s; a full stop for a blank, a star for two marks; then Enter.");
    const soFar = gettext("%s of %s answers");
    const row = mode === "score" ? typed : "";
    this.part("hint").textContent = row
      ? interpolate(soFar, [row.length, questions])
      : interpolate(told, [questions, [...options].join(" ")]);
    this.part("typed").textContent = inFives(row);
  }
}

const page = JSON.parse(document.getElementById("desk-page").textContent);
const stage = new AnswersStage(document.getElementById("desk"), page);
new ChosenPage({ page, stage, make: (own) => new AnswersEntry(own) }).begin();
