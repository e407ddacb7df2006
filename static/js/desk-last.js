// The last readings and what became of each, newest first. What waits or was refused stays in the list until it is
// dealt with; of all others the last ten.

const LAST = 10;
const GOOD = new Set(["waiting", "saved", "settled", "right", "taken-back"]);
const WORDS = {
  waiting: gettext("waiting to be sent"),
  saved: gettext("saved"),
  settled: gettext("saved and settled"),
  right: gettext("right"),
  "taken-back": gettext("taken back"),
};

export const isTrouble = (kind) => !GOOD.has(kind);

export class LastReadings {
  // `items`: {submission, stack, label, whose, gave, kind, text}, newest first; of those in another `stack` it is said
  // where they are.
  constructor(list, stack, { takeBack, acknowledge }) {
    this.list = list;
    this.stack = stack;
    this.items = [];
    this.rows = new Map();
    this.takeBack = takeBack;
    this.acknowledge = acknowledge;
  }

  add(item) {
    this.items = this.items.filter((other) => other.submission !== item.submission);
    this.items.unshift(item);
    this.draw();
  }

  find(submission) {
    return this.items.find((item) => item.submission === submission);
  }

  // The newest reading that can be taken back.
  get latest() {
    return this.items.find((item) => canGoBack(item));
  }

  change(submission, kind, text) {
    const item = this.find(submission);
    if (!item) return;
    item.kind = kind;
    item.text = text;
    this.draw();
  }

  drop(submission) {
    this.items = this.items.filter((item) => item.submission !== submission);
    this.draw();
  }

  draw() {
    let room = LAST;
    this.items = this.items.filter((item) => {
      room -= 1;
      return room >= 0 || item.kind === "refused" || item.kind === "waiting";
    });
    const shown = new Set(this.items.filter((item, place) => place < LAST || item.kind === "refused"));
    for (const [item, row] of this.rows) {
      if (!shown.has(item)) {
        row.remove();
        this.rows.delete(item);
      }
    }
    let before = null;
    for (const item of shown) {
      const row = this.row(item);
      const place = before ? before.nextSibling : this.list.firstChild;
      if (row !== place) this.list.insertBefore(row, place);
      before = row;
    }
  }

  row(item) {
    let row = this.rows.get(item);
    const { whose, gave } = item;
    if (!row) {
      row = document.getElementById("last-row").content.firstElementChild.cloneNode(true);
      this.rows.set(item, row);
      row.querySelector(".no").textContent = whose;
      row.querySelector(".gave").textContent = gave;
      row.querySelector(".gave").classList.toggle("in-words", !/^([\d.,]+|[0-9A-Z]{3,8})$/.test(gave));
      row.querySelector(".of-class").textContent = item.stack === this.stack ? "" : item.label;
      row.querySelector(".go-back").addEventListener("click", () => this.takeBack(item));
      row.querySelector(".seen").addEventListener("click", () => this.acknowledge(item));
    }
    if (row.dataset.kind !== item.kind || row.dataset.text !== (item.text ?? "")) {
      row.dataset.kind = item.kind;
      row.dataset.text = item.text ?? "";
      row.classList.toggle("trouble", isTrouble(item.kind) || item.kind === "refused");
      row.querySelector("use").setAttribute("href", `#fate-${item.kind}`);
      row.querySelector(".word").textContent = WORDS[item.kind] ?? item.text;
      const goBack = row.querySelector(".go-back");
      goBack.hidden = !canGoBack(item);
      goBack.setAttribute("aria-label", interpolate(gettext("Take back %s, %s"), [whose, gave]));
      row.querySelector(".seen").hidden = item.kind !== "refused";
    }
    return row;
  }
}

// A settled reading is offered too: one's own second look may still be withdrawn where nobody else had a part in it,
// and otherwise the server says why not.
function canGoBack(item) {
  return !["taken-back", "refused", "stays"].includes(item.kind) && !item.goingBack;
}
