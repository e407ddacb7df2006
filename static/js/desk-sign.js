// The sign that says whether everything is saved, or what waits on this laptop and why.

import { lasts } from "./desk-keep.js";

const LASTING = new Set(["offline", "out"]);

const clock = (time) => time.toLocaleTimeString("en-GB");
const fill = (text, values) => interpolate(text, values, true);

// What waits, and on what: at a desk readings on a laptop, elsewhere entries on whatever device that is.
const DESK = {
  out: gettext("This laptop is not let in any more. Join again as %(who)s to read on."),
  outWith: (n) =>
    ngettext(
      "This laptop is not let in any more; %(n)s reading is kept on this laptop.",
      "This laptop is not let in any more; %(n)s readings are kept on this laptop.",
      n,
    ),
  notSaved: (n) =>
    ngettext(
      "%(why)s: %(n)s reading kept on this laptop since %(since)s.",
      "%(why)s: %(n)s readings kept on this laptop since %(since)s.",
      n,
    ),
  offline: (n) =>
    ngettext(
      "Not connected since %(since)s: %(n)s reading kept on this laptop.",
      "Not connected since %(since)s: %(n)s readings kept on this laptop.",
      n,
    ),
  ofOther: (n) =>
    ngettext(
      "%(n)s reading of %(name)s is kept on this laptop, until %(name)s joins again here.",
      "%(n)s readings of %(name)s are kept on this laptop, until %(name)s joins again here.",
      n,
    ),
  refused: (n) =>
    ngettext("Saved, but for %(n)s reading refused: see the list.", "Saved, but for %(n)s readings refused: see the list.", n),
};

export const DEVICE = {
  out: gettext("This device is not let in any more. Join again as %(who)s to go on."),
  outWith: (n) =>
    ngettext(
      "This device is not let in any more; %(n)s entry is kept on this device.",
      "This device is not let in any more; %(n)s entries are kept on this device.",
      n,
    ),
  notSaved: (n) =>
    ngettext(
      "%(why)s: %(n)s entry kept on this device since %(since)s.",
      "%(why)s: %(n)s entries kept on this device since %(since)s.",
      n,
    ),
  offline: (n) =>
    ngettext(
      "Not connected since %(since)s: %(n)s entry kept on this device.",
      "Not connected since %(since)s: %(n)s entries kept on this device.",
      n,
    ),
  ofOther: (n) =>
    ngettext(
      "%(n)s entry of %(name)s is kept on this device, until %(name)s joins again here.",
      "%(n)s entries of %(name)s are kept on this device, until %(name)s joins again here.",
      n,
    ),
  refused: (n) =>
    ngettext("Saved, but for %(n)s entry refused: see the list.", "Saved, but for %(n)s entries refused: see the list.", n),
};

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

function describe(outbox, waiting, words) {
  const who = outbox.who;
  if (outbox.out) {
    if (!waiting) return ["out", fill(words.out, { who }), true];
    const join = fill(gettext("Join again as %(who)s."), { who });
    return ["out", [fill(words.outWith(waiting), { n: waiting }), join, goOut(waiting)].join(" "), true];
  }
  if (outbox.offlineSince && waiting) {
    const told = { n: waiting, since: clock(outbox.offlineSince), why: outbox.why };
    const text = outbox.why
      ? [fill(words.notSaved(waiting), told), sentAgain(waiting), gettext("Tell the superintendent.")]
      : [fill(words.offline(waiting), told), goOut(waiting)];
    if (!lasts()) text.push(gettext("Leave this page open: this browser keeps nothing through a reload."));
    return ["offline", text.join(" "), false];
  }
  const others = [...outbox.ofOthers()];
  if (others.length) {
    const [name, n] = others[0];
    return ["others", fill(words.ofOther(n), { n, name }), true];
  }
  if (waiting) {
    return ["sending", waiting === 1 ? gettext("Being saved …") : fill(gettext("%(n)s being saved …"), { n: waiting }), false];
  }
  const refused = outbox.entries().length;
  if (refused) return ["refused", fill(words.refused(refused), { n: refused }), false];
  if (outbox.savedAt) return ["saved", fill(gettext("Everything is saved, %(time)s"), { time: clock(outbox.savedAt) }), false];
  return ["saved", gettext("Everything is saved"), false];
}

const goOut = (n) => ngettext("It goes out by itself.", "They go out by themselves.", n);
const sentAgain = (n) => ngettext("It is sent again by itself.", "They are sent again by themselves.", n);
