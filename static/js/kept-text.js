// Forms with `data-keeps` keep what is typed in them for as long as their tab is open, so that a form left by mistake, by
// another button of its page or by a network that failed, has its text again. `data-keeps` names the form on its page; a
// link in it with `data-leaves` leaves it on purpose.

import * as keep from "./desk-keep.js";

const ASIDE = new Set(["csrfmiddlewaretoken", "submission"]);

class KeptText {
  constructor(form) {
    this.form = form;
    this.touched = new Set(); // the fields in which somebody has typed on this page
    this.name = `kept-text:${form.dataset.who}:${location.pathname}:${form.dataset.keeps}`;
  }

  async begin() {
    const { form } = this;
    form.addEventListener("input", ({ target }) => {
      this.touched.add(target);
      this.save();
    });
    form.addEventListener("submit", () => this.save({ sent: form.elements.submission.value }));
    form.querySelector("a[data-leaves]")?.addEventListener("click", () => this.forget());
    const kept = this.kept();
    if (kept && (!kept.sent || !(await hasArrived(kept.sent)))) this.bringBack(kept);
    else if (!this.touched.size) this.forget();
  }

  controls() {
    return [...this.form.elements].filter((control) => control.name && control.type !== "hidden" && !ASIDE.has(control.name));
  }

  save(more = {}) {
    const before = this.kept()?.fields ?? {};
    const fields = {};
    for (const control of this.controls()) {
      const [was] = before[nameOf(control)] ?? [standing(control)];
      if (typed(control) !== was) fields[nameOf(control)] = [was, typed(control)];
    }
    if (!Object.keys(fields).length) this.forget();
    else this.put({ fields, ...more });
  }

  put(kept) {
    try {
      sessionStorage.setItem(this.name, JSON.stringify(kept));
    } catch {
      this.forget(); // too long to be kept
    }
  }

  kept() {
    try {
      return JSON.parse(sessionStorage.getItem(this.name));
    } catch {
      return null;
    }
  }

  forget() {
    sessionStorage.removeItem(this.name);
  }

  bringBack({ fields }) {
    const changed = [];
    let differs = false;
    for (const control of this.controls()) {
      const [was, text] = fields[nameOf(control)] ?? [];
      if (text === undefined || standing(control) === text || this.touched.has(control)) continue;
      differs = true;
      if (standing(control) !== was) changed.push(interpolate(gettext("%s says “%s” now"), [labelOf(control), inWords(control)]));
      type(control, text);
    }
    if (differs) this.tell(changed);
  }

  tell(changed) {
    const line = document.createElement("p");
    line.className = "notice kept-text";
    line.setAttribute("role", "status");
    const afresh = document.createElement("button");
    afresh.type = "button";
    afresh.className = "press plain small";
    afresh.textContent = gettext("Throw it away");
    afresh.addEventListener("click", () => {
      this.form.reset();
      this.forget();
      line.remove();
    });
    const meanwhile = changed.length ? interpolate(gettext("Changed meanwhile: %s."), [changed.join("; ")]) : "";
    line.append(gettext("▲ Not saved yet: what you typed here is back."), " ", meanwhile, " ", afresh);
    this.form.prepend(line);
  }
}

// Whether what was sent has arrived, or is on its way in the outbox.
async function hasArrived(submission) {
  const waiting = keep.names("tanbark:").find((name) => name.endsWith(submission));
  if (waiting) return !keep.get(waiting)?.refused;
  const answer = await fetch(`/sent/${submission}/`, { cache: "no-store" }).catch(() => null);
  return answer?.ok ? (await answer.json()).arrived : false;
}

const isTick = (control) => control.type === "checkbox" || control.type === "radio";
const labelOf = (control) => control.labels[0]?.textContent.trim() ?? control.name;
const typed = (control) => (isTick(control) ? control.checked : control.value);

// A form that is shown again may have more fields than before.
const nameOf = (control) => (isTick(control) ? `${control.name} ${control.value}` : control.name);

function inWords(control) {
  const option = [...(control.options ?? [])].find((one) => one.value === standing(control));
  return option?.textContent.trim() ?? standing(control);
}

// What the page itself put there.
function standing(control) {
  if (isTick(control)) return control.defaultChecked;
  if (control.options) return ([...control.options].find((option) => option.defaultSelected) ?? control.options[0])?.value ?? "";
  return control.defaultValue;
}

function type(control, text) {
  if (isTick(control)) control.checked = text;
  else control.value = text;
  control.dispatchEvent(new Event("input", { bubbles: true }));
}

for (const form of document.querySelectorAll("form[data-keeps]")) new KeptText(form).begin();
