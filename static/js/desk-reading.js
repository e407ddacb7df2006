// The reading page: hands the keys to the entry, the readings to the outbox, and shows where everything stands.

import { Entry, meaning } from "./desk-entry.js";
import { listen } from "./desk-hands.js";
import * as keep from "./desk-keep.js";
import { LastReadings, cardsOf, inWords, isTrouble } from "./desk-last.js";
import { Outbox } from "./desk-outbox.js";
import { Run } from "./desk-run.js";
import { showSign } from "./desk-sign.js";
import * as sounds from "./desk-sounds.js";
import { Stage } from "./desk-stage.js";

const page = JSON.parse(document.getElementById("desk-page").textContent);
const token = document.querySelector("[name=csrfmiddlewaretoken]").value;
const HABIT = `tanbark-digits:${page.who.toLowerCase()}`;

const outbox = new Outbox(page, token);
const entry = new Entry({ loose: page.loose, digits: keep.get(HABIT) });
const stage = new Stage(document.getElementById("desk"), page);
const last = new LastReadings(document.getElementById("last"), cardsOf(page.classNumber), { takeBack, acknowledge });
const known = new Set(page.known);
const run = new Run(page.expected.filter((number) => !unsent(number)));
let following = null; // the stack to take next
let leaving = false; // the next page is on its way
let asked = false; // whether the server has said which

function unsent(number) {
  const here = outbox.waiting().filter((one) => one.classNumber === page.classNumber && one.number === number);
  return here.at(-1)?.kind === "reading";
}

// Keys

function press(key) {
  if (leaving) {
    trouble("Wait for the next stack.");
    return true;
  }
  const action = entry.press(key, run.now !== null);
  if (!action) return false;
  acts[action.do](action);
  return true;
}

const acts = {
  nothing: () => {},
  show: () => draw(),
  refuse: ({ why }) => trouble(why),
  commit: ({ placing }) => commit(placing),
  choose: ({ number }) => choose(number),
  number: () => draw(),
  unchoose: () => {
    run.unchoose();
    if (page.loose) entry.clear(true);
    draw();
  },
  skip: () => skip(),
  back: () => back(),
  undo: () => (last.latest ? takeBack(last.latest) : trouble("There is nothing to take back.")),
  help: () => stage.toggleHelp(),
  seen: () => {
    const refused = last.items.find((item) => item.kind === "refused");
    if (refused) acknowledge(refused);
  },
  "ask-habit": () => {
    sounds.news();
    draw();
  },
  habit: ({ digits }) => {
    keep.put(HABIT, digits);
    draw(digits === 3 ? "Three digits a card. Type this card from its first digit." : "Four digits a card.");
  },
};

function trouble(why) {
  sounds.buzz();
  draw();
  stage.trouble(why);
}

function commit(placing) {
  const number = run.now;
  const phase = phaseNow();
  const { classNumber } = page;
  const sent = outbox.addReading({ classNumber, number, placing }, { class_number: classNumber, number, placing });
  last.add({ ...sent, kind: "waiting", text: "" });
  run.finish(number);
  sounds.tick();
  draw();
  const next = run.now === null ? "" : ` Now ${run.now}.`;
  stage.say(`${number}: ${inWords(placing)}.${next}`);
  if (phaseNow() !== phase) askWhatRemains();
}

function phaseNow() {
  if (page.loose) return "loose";
  return run.ended ? "ended" : run.leftover ? "leftover" : "first";
}

function choose(number) {
  run.choose(number);
  const odd = page.odd[number];
  if (!known.has(number)) {
    sounds.news();
    draw(`Nobody has number ${number}. Backspace to mend it, or type the card: it is kept as a doubt.`);
  } else if (odd) {
    sounds.news();
    draw(`${number} ${odd}. Type the card if it is really there, or Backspace to mend the number.`);
  } else if (run.done.has(number)) {
    sounds.news();
    draw(`You have read ${number} already. Type the card only if there are two.`);
  } else {
    draw();
  }
}

function skip() {
  if (run.ended && !page.loose) {
    goOn();
    return;
  }
  if (page.loose && run.chosen === null) return;
  const number = run.now;
  const phase = phaseNow();
  run.skip();
  if (page.loose) entry.clear(true);
  draw(page.loose ? "" : `${number} is left for later.`);
  if (phaseNow() !== phase) askWhatRemains();
}

function back() {
  if (run.chosen !== null) {
    entry.mendNumber(run.chosen);
    run.unchoose();
    draw();
    return;
  }
  const latest = last.latest;
  if (!latest) {
    trouble("There is nothing to take back.");
    return;
  }
  entry.askUndo();
  draw(`Once more takes back ${latest.number}: ${inWords(latest.placing)}.`);
}

// Taking back

function takeBack(item) {
  item.goingBack = true;
  const { classNumber, number, placing } = item;
  outbox.addTakeBack({ classNumber, number, placing }, item);
  last.change(item.submission, "taken-back", "taken back");
  entry.clear(false);
  if (item.classNumber === page.classNumber) {
    run.done.delete(item.number);
    if (page.loose) run.choose(item.number);
    else run.reopen(item.number);
  }
  sounds.news();
  draw(`Taken back: ${item.number}, ${inWords(item.placing)}.`);
  stage.focus();
}

function acknowledge(item) {
  outbox.acknowledge(item.submission);
  last.drop(item.submission);
  stage.focus();
}

// Answers

outbox.addEventListener("answer", ({ detail: { entry: sent, answer } }) => {
  if (sent.kind === "take-back") tookBack(sent, answer);
  else wasRead(sent, answer);
});

function wasRead(sent, { kind, text }) {
  if (!last.find(sent.submission)) last.add({ ...sent, kind, text }); // typed in another tab
  if (last.find(sent.submission).kind === "taken-back") return;
  last.change(sent.submission, kind, text);
  if (isTrouble(kind)) {
    sounds.news();
    stage.news(`${sent.number}: ${text}`);
    if (kind === "refused" && !page.loose && run.done.has(sent.number)) run.expectLater(sent.number);
  } else {
    stage.say(`${sent.number} ${kind}.`);
  }
}

function tookBack(sent, { kind, text }) {
  const item = last.find(sent.of);
  if (item) item.goingBack = false;
  if (kind === "refused") {
    outbox.acknowledge(sent.submission); // said here, where the reading itself stays in sight
    last.change(sent.of, "stays", `not taken back: ${text}`);
    if (entry.typed === "" && run.now === sent.number) run.finish(sent.number);
    sounds.buzz();
    draw();
    stage.news(`${sent.number} is not taken back: ${text}`);
  }
}

// The end of the stack

let asking = false;

async function askWhatRemains() {
  if (asking) return;
  asking = true;
  while (run.ended || run.leftover) {
    if (!outbox.out && !outbox.waiting().length) {
      const { status, answer } = await outbox.fetch(page.addresses.expected);
      if (answer?.numbers) {
        run.bringInStep(answer.numbers);
        following = answer.next;
        asked = true;
        draw();
        break;
      }
      if (status === 401) outbox.shutOut();
    }
    await moments();
  }
  asking = false;
}

// Until something changes, or a little while has passed.
function moments() {
  return new Promise((go) => {
    outbox.addEventListener("change", go, { once: true });
    setTimeout(go, 2000);
  });
}

function goOn() {
  if (outbox.out || outbox.offlineSince) {
    trouble("The next stack can be taken when this laptop is connected again.");
  } else if (!asked || outbox.waiting().length) {
    trouble("A moment: the last readings are still on their way.");
  } else if (!following) {
    leaving = true;
    stage.leave();
  } else {
    leaving = true;
    stage.take(following);
  }
}

function draw(note = "") {
  stage.draw({ run, entry, following, asked, note });
}

// From the page

addEventListener("pageshow", () => (leaving = false)); // the browser may have kept it, and bring it back

listen({ stage, entry, outbox, meaning, press, trouble });

for (const radio of document.querySelectorAll("[name=digits]")) {
  radio.addEventListener("change", () => {
    entry.digits = Number(radio.value);
    entry.asksHabit = false;
    entry.clear(page.loose && run.chosen === null);
    keep.put(HABIT, entry.digits);
    draw();
    stage.focus();
  });
}

for (const reading of page.recent.reverse()) last.add(reading);
for (const kept of outbox.entries()) {
  if (kept.kind === "reading") last.add({ ...kept, kind: kept.refused ? "refused" : "waiting", text: kept.refused ?? "" });
  else if (last.find(kept.of)) last.change(kept.of, "taken-back", "taken back");
}
showSign(document.getElementById("sign"), outbox, (text) => stage.alert(text));
draw();
if (!page.loose && run.ended) askWhatRemains();
stage.focus();
document.removeEventListener("keydown", window.deskEarly.hear);
document.removeEventListener("click", window.deskEarly.feel);
for (const key of window.deskEarly.keys) press(key);
outbox.pump();
