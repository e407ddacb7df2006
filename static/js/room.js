// A reasons room on its official's device: who is next, the clock, the score in two taps. Everything that happens is
// kept on this device first and told to the server by the outbox, so the room goes on when the network does not.

import { Outbox } from "./desk-outbox.js";
import { DEVICE, showSign } from "./desk-sign.js";
import { Line } from "./room-line.js";
import { Score } from "./room-score.js";

const page = JSON.parse(document.getElementById("room-page").textContent);
const token = document.querySelector("[name=csrfmiddlewaretoken]").value;
const ahead = page.now - Date.now(); // how far the server's clock is ahead of this device's
const REFRESH = 5000;
const NOTE_PAUSE = 800;
const $ = (id) => document.getElementById(id);

const outbox = new Outbox(page, token);
const line = new Line(page.sets);
const score = new Score({ element: $("scoring"), components: page.components, settled: askScore, marked: writeDown });
let chosen = null; // a set that was picked out of its order
let noting = null;
let drawnUnsent = "";
let refreshing = null;
let asked = null; // the set that was tapped while somebody speaks
let low = null; // a score that is asked for

const time = () => Date.now() + ahead;

// What the device knows best is what it has not told yet: that is done again on top of what the server says.
function catchUp() {
  for (const entry of outbox.entries().filter(isHere)) {
    if (entry.refused) trouble(entry, entry.refused);
    else line.apply(entry.body);
  }
}

function isHere(entry) {
  return entry.kind === "event" && entry.room === page.room && entry.official === page.official;
}

function current() {
  return line.current(chosen);
}

function tell(what, set, more = {}) {
  const body = { what, number: set.number, class_number: set.classNumber, at: time(), ...more };
  line.apply(body);
  outbox.add({ kind: "event", to: page.addresses.events, room: page.room, official: page.official, number: set.number, body });
  draw();
}

// A very low score may be a slip of the hand, such as 4½ for 45.
function askScore(points) {
  if (!current()) return;
  if (Number(points) > page.low) {
    giveScore(points);
    return;
  }
  low = { set: current(), points };
  $("low-text").textContent = interpolate(gettext("%(points)s points for %(number)s is very low."), { points, number: low.set.number }, true);
  $("low").showModal();
}

$("low-mend").addEventListener("click", () => $("low").close());
$("low").addEventListener("close", () => {
  low = null;
  draw();
});

$("low-right").addEventListener("click", () => {
  const { set, points } = low;
  $("low").close();
  if (set === current()) giveScore(points);
});

function giveScore(points) {
  const set = current();
  if (!set) return;
  chosen = set;
  tell("score", set, { points });
  say(interpolate(gettext("%(number)s: %(points)s points."), { number: set.number, points }, true));
}

function writeDown() {
  const set = noting ?? current();
  noting = null;
  clearTimeout(writeDown.timer);
  const note = $("note").value;
  const marks = score.marks();
  if (!set || (note === set.note && JSON.stringify(marks) === JSON.stringify(set.marks))) return;
  tell("write", set, { note, marks });
}

// Whoever speaks stays before the official until they are stopped: a tap on another set asks first.
function pick(set) {
  const speaking = line.speaking();
  if (!speaking || speaking === set) {
    go(set);
    return;
  }
  asked = { speaking, set };
  $("switch-text").textContent = interpolate(gettext("%s is speaking."), [speaking.number]);
  $("switch-stop").textContent = interpolate(gettext("Stop %(now)s, go to %(then)s"), { now: speaking.number, then: set.number }, true);
  $("switch-stay").textContent = interpolate(gettext("Stay with %s"), [speaking.number]);
  $("switch").showModal();
}

$("switch-stay").addEventListener("click", () => $("switch").close());
$("switch").addEventListener("close", () => (asked = null));

$("switch-stop").addEventListener("click", () => {
  const { set } = asked;
  $("switch").close();
  writeDown();
  tell("stop", line.speaking());
  go(line.find(set.number, set.classNumber));
});

function go(set) {
  writeDown();
  chosen = set;
  score.clear();
  draw();
}

// Buttons

const acts = {
  begin: () => tell("begin", current()),
  stop: () => {
    chosen = current();
    tell("stop", current());
  },
  next: () => go(line.next(current())),
  absent: () => {
    const set = current();
    go(line.next(set));
    tell("absent", set);
  },
  back: () => {
    chosen = current();
    tell("back", current());
  },
  again: () => {
    chosen = current();
    tell("begin", current());
  },
  unbegin: () => {
    const set = (chosen = current());
    tell("back", set);
    say(interpolate(gettext("%s has not begun; the hall calls them again."), [set.number]));
  },
  clear: () => {
    const set = (chosen = current());
    score.empty();
    writeDown();
    tell("clear", set);
    say(interpolate(gettext("%s: no score."), [set.number]));
  },
};

for (const [id, act] of Object.entries(acts)) {
  $(id).addEventListener("click", (event) => {
    if (event.detail > 1) return; // the second of a double tap, meant for the button that was here before
    const focused = document.activeElement === $(id);
    if (current()) act();
    // The button has often done its work and gone: the next one to press takes the focus.
    if (focused && $(id).hidden) ["stop", "begin", "next"].map($).find((button) => !button.hidden)?.focus();
  });
}

$("note").addEventListener("input", () => {
  noting ??= current();
  clearTimeout(writeDown.timer);
  writeDown.timer = setTimeout(writeDown, NOTE_PAUSE);
});
$("note").addEventListener("blur", writeDown);
addEventListener("pagehide", writeDown);

document.addEventListener("keydown", (event) => {
  if (event.ctrlKey || event.altKey || event.metaKey || event.target.matches("input, textarea, dialog *")) return;
  if (score.key(event.key)) event.preventDefault();
});

// What is shown

const labels = {
  planned: gettext("Next"),
  speaking: gettext("Speaking"),
  heard: gettext("Heard"),
  absent: gettext("Called, and not here"),
};

function draw() {
  const set = current();
  const state = set?.state ?? "none";
  const nobody = line.sets.length ? gettext("Everybody has been heard") : gettext("Nothing is planned here yet");
  $("stage-label").textContent = labels[state] ?? nobody;
  $("now").textContent = set?.number ?? "";
  $("of-class").textContent = set ? interpolate(gettext("class %(classNumber)s, %(className)s, planned for %(starts)s"), set, true) : "";
  show("begin", state === "planned");
  show("stop", state === "speaking");
  show("next", (state === "heard" || state === "absent") && line.next(set));
  show("absent", state === "planned");
  show("back", state === "absent");
  show("again", state === "heard");
  show("unbegin", state === "speaking" && set.points === null);
  show("clear", set?.points != null);
  $("scoring").hidden = !set || state === "absent";
  score.lock(state === "planned");
  show("before", state === "planned");
  if (asked && line.speaking() !== line.find(asked.speaking.number, asked.speaking.classNumber)) $("switch").close();
  $("next").textContent = set && line.next(set) ? interpolate(gettext("Next: %s"), [line.next(set).number]) : gettext("Next");
  score.show(set);
  const waiting = unsent();
  drawnUnsent = [...waiting].join();
  $("unsent").hidden = !set || !waiting.has(`${set.number} ${set.classNumber}`);
  if (document.activeElement !== $("note") && !noting) $("note").value = set?.note ?? "";
  line.list($("coming"), line.coming().filter((one) => one !== set), set?.state === "planned" ? 1 : 0, pick, waiting);
  line.list($("heard"), line.done().filter((one) => one !== set), null, pick, waiting);
  show("coming-head", $("coming").children.length > 0);
  show("heard-head", $("heard").children.length > 0);
  tick();
}

function show(id, shown) {
  $(id).hidden = !shown;
}

function tick() {
  const set = current();
  const clock = $("clock");
  clock.hidden = !set?.began;
  if (!set?.began) return;
  const elapsed = Math.max(0, Math.floor(((set.stopped ?? time()) - set.began) / 1000));
  $("elapsed").textContent = `${Math.floor(elapsed / 60)}:${String(elapsed % 60).padStart(2, "0")}`;
  const isOver = elapsed >= set.minutes * 60;
  clock.dataset.over = isOver ? "yes" : "no";
  const limit = interpolate(isOver ? gettext("over %s:00") : gettext("of %s:00"), [set.minutes]);
  if ($("limit").textContent !== limit) $("limit").textContent = limit; // it is read out whenever it is written
}

function say(text) {
  $("said").textContent = text;
}

// What was refused is kept, also through a reload, until somebody has seen that it was.

const WHAT = {
  begin: gettext("begin"),
  stop: gettext("stop"),
  absent: gettext("absent"),
  back: gettext("to be heard"),
  write: gettext("notes"),
  score: gettext("score"),
  clear: gettext("clear"),
};

function trouble(entry, text) {
  const item = document.createElement("li");
  const what = [WHAT[entry.body.what], entry.body.points].filter(Boolean).join(" ");
  const values = { number: entry.number, judged: entry.body.class_number, what, text };
  item.textContent = interpolate(gettext("%(number)s, class %(judged)s, %(what)s: %(text)s"), values, true);
  $("trouble").querySelector("ul").append(item);
  $("trouble").hidden = false;
}

$("seen").addEventListener("click", () => {
  $("trouble").querySelector("ul").replaceChildren();
  $("trouble").hidden = true;
  for (const entry of outbox.entries()) if (entry.refused && isHere(entry)) outbox.acknowledge(entry.submission);
});

outbox.addEventListener("answer", ({ detail: { entry, answer } }) => {
  if (!isHere(entry) || answer.kind === "saved" || answer.kind === "settled") return;
  trouble(entry, answer.text);
  if (answer.kind === "refused") refresh();
});

// Which sets have something that does not reach the server; while it does, all is sent in a moment.
function unsent() {
  if (!outbox.offlineSince && !outbox.out) return new Set();
  return new Set(outbox.waiting().filter(isHere).map(({ body }) => `${body.number} ${body.class_number}`));
}

outbox.addEventListener("change", () => {
  const now = [...unsent()].join();
  if (now !== drawnUnsent) draw();
});

// Somebody may have planned again: what the server says counts whenever nothing is left to tell it.

async function refresh() {
  clearTimeout(refreshing);
  const told = line.version;
  if (!outbox.out && !outbox.waiting().length && !document.hidden) {
    const { status, answer } = await outbox.fetch(page.addresses.sets);
    if (status === 401) outbox.shutOut();
    if (answer?.sets && !outbox.waiting().length && line.version === told) {
      const kept = current();
      line.replace(answer.sets);
      chosen = chosen && kept ? line.find(kept.number, kept.classNumber) : null;
      draw();
    }
  }
  clearTimeout(refreshing);
  refreshing = setTimeout(refresh, REFRESH);
}

showSign($("sign"), outbox, say, DEVICE);
catchUp();
draw();
setInterval(tick, 250);
refreshing = setTimeout(refresh, REFRESH);
outbox.pump();
