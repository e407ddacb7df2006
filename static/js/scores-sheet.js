// The page where scores are entered: hands the keys to the entry, the readings to the outbox, and shows where everything
// stands. Reasons scores and marks are entered alike; teams, which have no numbers, are chosen by their place in a list.

import { listen } from "./desk-hands.js";
import * as keep from "./desk-keep.js";
import { LastReadings, isTrouble } from "./desk-last.js";
import { Outbox } from "./desk-outbox.js";
import { Run } from "./desk-run.js";
import { showSign } from "./desk-sign.js";
import * as sounds from "./desk-sounds.js";
import { ScoreEntry, inWords, meaning } from "./scores-entry.js";
import { ScoreStage } from "./scores-stage.js";

const page = JSON.parse(document.getElementById("desk-page").textContent);
const token = document.querySelector("[name=csrfmiddlewaretoken]").value;
const TWO = "tanbark-two-digits";
const NUMBERS_FIRST = "tanbark-numbers-first";

const entry = new ScoreEntry({
  most: page.most,
  two: keep.get(TWO) === true,
  numbersFirst: keep.get(NUMBERS_FIRST) === true,
  whose: page.names ? "team" : "contestant",
});
const outbox = new Outbox(page, token);
const stage = new ScoreStage(document.getElementById("desk"), page);
const words = {
  whose: (item) => item.whose,
  gave: (item) => inWords(item.points),
  where: (item) => (item.sheet === page.sheet ? "" : item.sheetLabel),
};
const last = new LastReadings(document.getElementById("last"), words, { takeBack, acknowledge });
const known = new Set(page.known);
const places = new Map(Object.entries(page.names ?? {}).map(([number, { of }]) => [of, Number(number)]));
const run = new Run(page.expected.filter((number) => !unsent(number)));
let asked = false; // whether the server has said what remains

// A number is what is typed; `owner` is what the server knows the same contestant or team by.
function numberOf(item) {
  if (item.sheet !== page.sheet) return null;
  return page.names ? (places.get(item.owner) ?? null) : item.owner;
}

function unsent(number) {
  return outbox.waiting().filter((one) => numberOf(one) === number).at(-1)?.kind === "reading";
}

// Keys

function press(key) {
  const action = entry.press(key, run.now !== null);
  if (!action) return false;
  acts[action.do](action);
  return true;
}

const acts = {
  nothing: () => {},
  show: () => draw(),
  refuse: ({ why }) => trouble(why),
  commit: ({ points }) => commit(points),
  choose: ({ number }) => choose(number),
  unchoose: () => {
    run.unchoose();
    entry.clear(entry.numbersFirst);
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
};

function trouble(why) {
  sounds.buzz();
  draw();
  stage.trouble(why);
}

function commit(points) {
  const number = run.now;
  const phase = phaseNow();
  const whose = stage.whose(number);
  const owner = page.names ? page.names[number].of : number;
  const shown = { sheet: page.sheet, sheetLabel: page.label, whose, owner, points };
  const sent = outbox.addReading(shown, { of: owner, points });
  last.add({ ...sent, kind: "waiting", text: "" });
  run.finish(number);
  sounds.tick();
  draw();
  stage.say(`${whose}: ${inWords(points)}.${run.now === null || entry.asksNumber ? "" : ` Now ${stage.whose(run.now)}.`}`);
  if (phaseNow() !== phase) askWhatRemains();
}

function phaseNow() {
  return run.ended ? "ended" : run.leftover ? "leftover" : "first";
}

function choose(number) {
  if (page.names && !page.names[number]) {
    entry.mendNumber(number);
    trouble(`There is no team ${number} in the list.`);
    return;
  }
  run.choose(number);
  const odd = page.odd[number];
  const whose = stage.whose(number);
  let note = "";
  if (!known.has(number)) note = `Nobody has number ${number}. Backspace to mend it.`;
  else if (odd) note = `${number} ${odd}. Backspace to mend the number, or type the score if it is right.`;
  else if (run.done.has(number)) note = `You have entered ${whose} already.`;
  if (note) sounds.news();
  draw(note);
}

function skip() {
  if (run.ended) {
    goOn();
    return;
  }
  if (entry.numbersFirst && run.chosen === null) return;
  const whose = stage.whose(run.now);
  const phase = phaseNow();
  run.skip();
  entry.clear(entry.numbersFirst);
  draw(`${whose} is left for later.`);
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
  draw(`Once more takes back ${latest.whose}: ${inWords(latest.points)}.`);
}

// Taking back

function takeBack(item) {
  item.goingBack = true;
  const { sheet, sheetLabel, whose, owner, points } = item;
  outbox.addTakeBack({ sheet, sheetLabel, whose, owner, points }, item);
  last.change(item.submission, "taken-back", "taken back");
  entry.clear(false);
  const number = numberOf(item);
  if (number !== null) {
    run.done.delete(number);
    if (entry.numbersFirst) run.choose(number);
    else run.reopen(number);
  }
  sounds.news();
  draw(`Taken back: ${whose}, ${inWords(points)}.`);
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
  if (!isTrouble(kind)) {
    stage.say(`${sent.whose} ${kind}.`);
    return;
  }
  sounds.news();
  const number = numberOf(sent);
  if (kind === "refused" && page.expected.includes(number) && run.done.has(number)) {
    run.expectLater(number);
    draw();
  }
  stage.news(`${sent.whose}, ${inWords(sent.points)}: ${text}`);
}

function tookBack(sent, { kind, text }) {
  const item = last.find(sent.of);
  if (item) item.goingBack = false;
  if (kind !== "refused") return;
  outbox.acknowledge(sent.submission); // said here, where the reading itself stays in sight
  last.change(sent.of, "stays", `not taken back: ${text}`);
  const number = item ? numberOf(item) : null;
  if (number !== null && entry.typed === "" && run.now === number) run.finish(number);
  sounds.buzz();
  draw();
  stage.news(`${sent.whose} is not taken back: ${text}`);
}

// The end

let asking = false;

async function askWhatRemains() {
  if (asking) return;
  asking = true;
  while (run.ended || run.leftover) {
    if (!outbox.out && !outbox.waiting().length) {
      const { status, answer } = await outbox.fetch(page.addresses.expected);
      if (answer?.numbers) {
        run.bringInStep(answer.numbers.map((owner) => (page.names ? places.get(owner) : owner)).filter(Boolean));
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
  if (outbox.out || outbox.offlineSince) trouble("That works when this device is connected again.");
  else if (!asked || outbox.waiting().length) trouble("A moment: the last readings are still on their way.");
  else stage.leave();
}

function draw(note = "") {
  stage.draw({ run, entry, asked, note });
}

// From the page

listen({ stage, entry, outbox, meaning, press, trouble });

function choice(id, name, set) {
  const box = document.getElementById(id);
  box.checked = keep.get(name) === true;
  box.addEventListener("change", () => {
    keep.put(name, box.checked);
    set(box.checked);
    entry.clear(entry.numbersFirst && run.chosen === null);
    draw();
    stage.focus();
  });
  return box;
}

choice("two-digits", TWO, (on) => (entry.two = on)).disabled = !entry.canEndAtTwo;
choice("numbers-first", NUMBERS_FIRST, (on) => (entry.numbersFirst = on));

for (const reading of page.recent.reverse()) last.add(reading);
for (const kept of outbox.entries()) {
  if (kept.kind === "reading") last.add({ ...kept, kind: kept.refused ? "refused" : "waiting", text: kept.refused ?? "" });
  else if (last.find(kept.of)) last.change(kept.of, "taken-back", "taken back");
}
showSign(document.getElementById("sign"), outbox, (text) => stage.alert(text));
draw();
if (run.ended) askWhatRemains();
stage.focus();
outbox.pump();
