// Says, while somebody types what a doubtful card or score counts as, what that will be: the missing animal of 312_, or
// the reading that a letter stands for. The server decides by the same rules; this only shows it beforehand.
"use strict";

(() => {
  const gap = (animals) => (animals.includes("X") ? /[_?.*-]/ : /[_?.*X-]/);

  function meaning(typed, form, what, animals) {
    const text = typed.trim().toLowerCase();
    const ofPoints = what === "points";
    if (text === "u" && !ofPoints) return gettext("unreadable");
    if (text === "n") return ofPoints ? gettext("no score") : gettext("no card");
    if (/^[a-z]$/.test(text)) {
      return form.querySelector(`[name="pick"][value="${text}"]`)?.dataset.says ?? "";
    }
    if (what !== "card") return "";
    const card = text.replaceAll(" ", "").toUpperCase();
    const left = [...animals].filter((animal) => !card.includes(animal));
    const gaps = card.split("").filter((sign) => gap(animals).test(sign)).length;
    if (left.length !== 1 || card.length - gaps !== animals.length - 1 || gaps > 1) return "";
    return gaps ? card.replace(gap(animals), left[0]) : card + left[0];
  }

  // The reason that fits what is typed, unless somebody has picked another. The server does the same.
  function reasonFor(typed, select, animals) {
    select.dataset.put ??= select.value;
    if (select.value !== select.dataset.put) return;
    const { none, unreadable, gap: ofGap } = select.dataset;
    const card = typed.replaceAll(" ", "").toUpperCase();
    const gapped = gap(animals).test(card) && [...card.replace(gap(animals), "")].every((sign) => animals.includes(sign));
    const fits = { n: none, u: unreadable }[typed.trim().toLowerCase()] ?? (gapped ? ofGap : null);
    select.value = select.dataset.put = fits ?? select.options[0].value;
  }

  function say(field) {
    const output = field.form?.querySelector("[data-meaning]");
    if (!output || field.name !== "counts") return;
    const { meaning: what, animals } = output.dataset;
    const found = meaning(field.value, field.form, what, animals);
    reasonFor(field.value, field.form.elements.quick, animals);
    output.textContent = found ? interpolate(gettext("counts as %s"), [found]) : "";
  }

  document.addEventListener("input", (event) => say(event.target));
  // What was typed before this script listened.
  for (const field of document.querySelectorAll("[name=counts]")) if (field.value !== field.defaultValue) say(field);
})();
