// The sign that says whether everything is saved, or what waits on this laptop and why.

import { lasts } from "./desk-keep.js";

const LASTING = new Set(["offline", "out"]);

const clock = (time) => time.toLocaleTimeString("en-GB");
const DESK = { one: "1 reading", many: "readings", device: "laptop" };
const goOut = (number) => (number === 1 ? "It goes out by itself." : "They go out by themselves.");
const are = (number) => (number === 1 ? "is" : "are");

// `words` say what waits, and on what: at a desk they are readings on a laptop.
export function showSign(element, outbox, announce, words = DESK) {
  let shown = "";

  function draw() {
    const waiting = outbox.waiting().length;
    const [state, text, again] = describe(outbox, waiting, words);
    element.dataset.state = state;
    element.dataset.waiting = waiting;
    element.querySelector(".sign-text").textContent = text;
    element.querySelector("a").hidden = !again;
    // Only what changes for longer is worth hearing.
    if (state !== shown && (LASTING.has(state) || LASTING.has(shown))) announce(text);
    shown = state;
  }

  outbox.addEventListener("change", draw);
  draw();
}

function describe(outbox, waiting, { one, many, device }) {
  const count = (number) => (number === 1 ? one : `${number} ${many}`);
  if (outbox.out) {
    if (!waiting) return ["out", `This ${device} is not let in any more. Join again as ${outbox.who} to read on.`, true];
    const kept = `${count(waiting)} ${are(waiting)} kept on this ${device}`;
    return ["out", `This ${device} is not let in any more; ${kept}. Join again as ${outbox.who}. ${goOut(waiting)}`, true];
  }
  if (outbox.offlineSince && waiting) {
    const stay = lasts() ? "" : " Leave this page open: this browser keeps nothing through a reload.";
    const since = clock(outbox.offlineSince);
    if (outbox.why) {
      const kept = `${count(waiting)} kept on this ${device} since ${since}`;
      const again = waiting === 1 ? "It is sent again by itself." : "They are sent again by themselves.";
      return ["offline", `${outbox.why}: ${kept}. ${again} Tell the superintendent.${stay}`, false];
    }
    return ["offline", `Not connected since ${since}: ${count(waiting)} kept on this ${device}. ${goOut(waiting)}${stay}`, false];
  }
  const others = [...outbox.ofOthers()];
  if (others.length) {
    const [name, number] = others[0];
    return ["others", `${count(number)} of ${name} ${are(number)} kept on this ${device}, until ${name} joins again here.`, true];
  }
  if (waiting) return ["sending", waiting === 1 ? "Being saved …" : `${waiting} being saved …`, false];
  const refused = outbox.entries().length;
  if (refused) return ["refused", `Saved, but for ${count(refused)} refused: see the list.`, false];
  if (outbox.savedAt) return ["saved", `Everything is saved, ${clock(outbox.savedAt)}`, false];
  return ["saved", "Everything is saved", false];
}
