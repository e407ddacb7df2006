// Check-in: whoever is typed is found as they are typed, among those this page knows, and who came is told to the server by
// the outbox, so that the line at the door goes on when the network does not.
//
// Nobody is checked in unseen: a scanner sends its Enter with the number, so a number takes Enter twice; a name or a team
// once, where one alone is left. Whoever was scratched is brought back by their own button only.

import { MOST_ROWS, People, expected } from "./check-in-people.js";
import { Outbox } from "./desk-outbox.js";
import { DEVICE, showSign } from "./desk-sign.js";
import { showRefused } from "./outbox-refused.js";

const KEPT_IN_SIGHT = 5;
const REFRESH = 15_000;
const $ = (id) => document.getElementById(id);

const page = JSON.parse($("check-in-page").textContent);
const outbox = new Outbox(page, document.querySelector("[name=csrfmiddlewaretoken]").value);
const people = new People(page.people);
const field = $("find");
const done = []; // what was done on this page, newest first
let ready = ""; // the number whose next Enter checks in

const fill = (text, values) => interpolate(text, values, true);
const clock = () => new Date().toLocaleTimeString("en-GB").slice(0, 5);
const unsent = () => outbox.waiting().filter((entry) => entry.numbers);
const bring = (listed) => people.bring(listed, unsent());

// Doing

function tell(act, numbers) {
  const body = [["do", act], ["by", page.who], ...numbers.map((number) => ["number", number])];
  const at = clock();
  const label = numbers.join(", ");
  outbox.addForm({ room: page.room, label, act, numbers, at }, { to: page.addresses.told, body });
  people.apply(act, numbers, at);
  done.unshift({ act, numbers, at });
  done.length = Math.min(done.length, KEPT_IN_SIGHT);
  field.value = "";
  ready = "";
  draw();
  field.focus();
}

// The press that a row is there for; null where there is none, or where it would change who competes.
function mainPress(row) {
  if (row.members) return expected(row).length ? () => tell("in", expected(row).map((person) => person.number)) : null;
  return row.at || !row.isPresent ? null : () => tell("in", [row.number]);
}

document.querySelector(".lookup").addEventListener("submit", (event) => {
  event.preventDefault();
  const typed = field.value.trim();
  const { rows, isOne } = people.find(typed);
  if (!rows.length) return;
  const press = isOne && mainPress(rows[0]);
  if (!isOne) $("results").querySelector("button")?.focus();
  else if (press && (ready === typed || !/^\d+$/.test(typed))) press();
  else ready = typed;
  if (ready) {
    field.select(); // the next number takes its place
    draw();
  }
});

field.addEventListener("input", draw);

// A number that is typed or scanned goes to the field, wherever the focus was.
document.addEventListener("keydown", (event) => {
  if (event.ctrlKey || event.altKey || event.metaKey || event.target.matches("input, textarea, select")) return;
  if (/^[\p{L}\p{N}]$/u.test(event.key)) {
    field.focus();
    field.select();
  }
});

// Drawing

function element(tag, className, ...content) {
  const made = document.createElement(tag);
  made.className = className;
  made.append(...content);
  return made;
}

function button(className, text, act) {
  const made = element("button", `press ${className}`, text);
  made.type = "button";
  made.addEventListener("click", act);
  return made;
}

function verdict(sign, text, role) {
  const mark = element("span", "sign", sign);
  mark.ariaHidden = "true";
  const line = element("p", "verdict", mark, ` ${text}`);
  line.setAttribute("role", role);
  return line;
}

const bdi = (text) => element("bdi", "", text);
const placed = ({ team }) => [bdi(team.name || gettext("individual")), `, ${team.division}`];
const named = (team) => [element("b", "", bdi(team.name)), " ", element("span", "soft", team.division)];

function arriveButton(person, className) {
  const words = person.isPresent ? gettext("Check in %(number)s") : gettext("Check in %(number)s, present again");
  return button(className, fill(words, person), () => tell("in", [person.number]));
}

function teamButton(team, className) {
  const numbers = expected(team).map((person) => person.number);
  return button(className, fill(gettext("The whole team is here (%(n)s)"), { n: numbers.length }), () => tell("in", numbers));
}

function stateOf(person) {
  if (!person.isPresent) return gettext("scratched");
  return person.at ? fill(gettext("in since %(at)s"), person) : "";
}

function ticketOf(person) {
  const made = element("section", `ticket ${person.at ? "already" : "waiting"}`);
  made.ariaLabel = gettext("Whose number it is");
  if (!person.isPresent) made.append(verdict("▲", gettext("Was scratched"), "alert"));
  else if (person.at) made.append(verdict("▲", fill(gettext("Already in, since %(at)s"), person), "alert"));
  made.append(element("p", "big", String(person.number)), element("p", "name", bdi(person.name)), element("p", "place", ...placed(person)));
  if (person.at && person.isPresent) made.append(button("plain", gettext("Not arrived after all"), () => tell("undo", [person.number])));
  else made.append(arriveButton(person, person.isPresent ? "huge" : "plain"));
  return made;
}

function teamTicket(team, room) {
  const made = element("section", "ticket waiting");
  made.ariaLabel = gettext("Team");
  made.append(element("p", "name", bdi(team.name)), element("p", "place", team.division));
  if (expected(team).length) made.append(teamButton(team, "huge"));
  else made.append(verdict("▲", gettext("Nobody of them is expected still"), "alert"));
  const list = element("ul", "found ruled");
  for (const person of team.members.slice(0, room)) list.append(rowOf(person));
  made.append(list);
  return made;
}

function rowOf(row) {
  if (row.members) {
    const button = expected(row).length ? teamButton(row, "") : element("span", "soft", gettext("nobody expected still"));
    return element("li", "", element("p", "who", ...named(row)), button);
  }
  const who = element("p", "who", element("b", "", String(row.number)), " ", bdi(row.name), " ", element("span", "soft", ...placed(row)));
  return element("li", "", who, mainPress(row) ? arriveButton(row, "plain") : element("span", "soft", stateOf(row)));
}

function drawResults() {
  const typed = field.value.trim();
  const { rows, more, isOne } = people.find(typed);
  const shown = [];
  if (typed && !rows.length) shown.push(unknown(typed));
  if (isOne) shown.push(rows[0].members ? teamTicket(rows[0], MOST_ROWS - 1) : ticketOf(rows[0]));
  const others = rows.slice(isOne ? 1 : 0);
  if (others.length) shown.push(element("ul", "found ruled", ...others.map(rowOf)));
  if (more) shown.push(element("p", "soft", fill(ngettext("and %(n)s more: type more of it", "and %(n)s more: type more of it", more), { n: more })));
  if (isOne && ready === typed && mainPress(rows[0])) {
    shown[0].classList.add("ready");
    shown[0].append(element("p", "soft", gettext("Enter checks in")));
  }
  $("results").replaceChildren(...shown);
}

function unknown(typed) {
  const made = element("section", "ticket unknown");
  const words = /^\d+$/.test(typed) ? gettext("Nobody has number %(typed)s") : gettext("Nobody and no team is called %(typed)s");
  made.append(verdict("✕", fill(words, { typed }), "alert"));
  made.append(element("p", "", gettext("Look again. If it is right, send them to the superintendent.")));
  return made;
}

function drawDone() {
  const [newest, ...before] = done;
  if (newest) {
    const isIn = newest.act === "in";
    const made = element("section", `ticket ${isIn ? "in" : "out"}`);
    made.ariaLabel = gettext("What was done");
    made.append(isIn ? verdict("✓", fill(gettext("Checked in, %(at)s"), newest), "status") : verdict("↶", gettext("Not arrived any more"), "status"));
    made.append(...summary(newest.numbers));
    made.append(undoButton(newest));
    $("done").replaceChildren(made);
  }
  $("before").replaceChildren(...before.map((one) => element("li", "", element("p", "who", `${one.act === "in" ? "✓" : "↶"} `, one.numbers.join(", ")), undoButton(one))));
}

function summary(numbers) {
  const [first, ...others] = people.of(numbers);
  if (!first || others.length) return [element("p", "name", numbers.join(", ")), element("p", "place", ...(first ? placed(first) : []))];
  return [element("p", "big", String(first.number)), element("p", "name", bdi(first.name)), element("p", "place", ...placed(first))];
}

function undoButton({ act, numbers }) {
  const isIn = act === "in";
  const made = button(isIn ? "plain" : "", isIn ? gettext("Undo") : gettext("Check in again"), () => tell(isIn ? "undo" : "in", numbers));
  if (done[0]?.numbers !== numbers) made.ariaLabel = `${made.textContent} ${numbers.join(", ")}`;
  return made;
}

function drawProgress() {
  const { arrived, expected: all } = people.counts();
  const [before, after] = fill(gettext("%(arrived)s of %(all)s have arrived."), { arrived: "\n", all }).split("\n");
  $("progress").replaceChildren(before, element("b", "", String(arrived)), after);
}

function draw() {
  drawResults();
  drawDone();
  drawProgress();
}

// What others do meanwhile

async function refresh() {
  if (document.hidden || outbox.out) return;
  const { status, answer } = await outbox.fetch(`${page.addresses.people}?v=${people.version}`);
  if (status === 401) outbox.shutOut();
  if (status !== 200 || !answer?.people) return;
  bring(answer);
  drawProgress();
  if (!$("results").contains(document.activeElement)) drawResults();
}

// Somebody else may have been quicker: what is as it was to be is no trouble.
outbox.addEventListener("answer", async ({ detail: { entry, answer } }) => {
  if (!entry.numbers || answer.kind !== "refused") return;
  await refresh();
  const those = people.of(entry.numbers);
  const isSo = those.every((person) => Boolean(person.at) === (entry.act === "in"));
  if (isSo && those.length === entry.numbers.length) outbox.acknowledge(entry.submission);
});
showRefused($("kept"), outbox);
showSign($("sign"), outbox, (text) => ($("kept-said").textContent = text), DEVICE);
bring(page.people);
if (unsent().length) drawProgress();
if (field.value) drawResults(); // typed before this script listened
setInterval(refresh, REFRESH);
document.addEventListener("visibilitychange", refresh);
outbox.pump();
