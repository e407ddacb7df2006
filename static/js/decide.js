// Says, while somebody types what a doubtful card or score counts as, what that will be: the missing animal of 312_, or
// the reading that a letter stands for. The server decides by the same rules; this only shows it beforehand.
"use strict";

(() => {
  const ANIMALS = ["1", "2", "3", "4"];
  const GAP = /[_?.*x-]/;

  function meaning(typed, form, what) {
    const text = typed.trim().toLowerCase();
    const ofPoints = what === "points";
    if (text === "u" && !ofPoints) return gettext("unreadable");
    if (text === "n") return ofPoints ? gettext("no score") : gettext("no card");
    if (/^[a-z]$/.test(text)) {
      return form.querySelector(`[name="pick"][value="${text}"]`)?.dataset.says ?? "";
    }
    if (what !== "card") return "";
    const card = text.replaceAll(" ", "");
    const left = ANIMALS.filter((animal) => !card.includes(animal));
    const gapped = card.length === 4 && card.split("").filter((sign) => GAP.test(sign)).length === 1;
    if (left.length !== 1 || !(gapped || /^[1-4]{3}$/.test(card))) return "";
    return gapped ? card.replace(GAP, left[0]) : card + left[0];
  }

  // The reason that fits what is typed, unless somebody has picked another. The server does the same.
  function reasonFor(typed, select) {
    select.dataset.put ??= select.value;
    if (select.value !== select.dataset.put) return;
    const { none, unreadable, gap } = select.dataset;
    const fits = { n: none, u: unreadable }[typed.trim().toLowerCase()] ?? (/^[1-4]*[_?.*x-][1-4]*$/.test(typed) ? gap : null);
    select.value = select.dataset.put = fits ?? select.options[0].value;
  }

  document.addEventListener("input", (event) => {
    const output = event.target.closest("form")?.querySelector("[data-meaning]");
    if (!output || event.target.name !== "counts") return;
    const found = meaning(event.target.value, event.target.form, output.dataset.meaning);
    reasonFor(event.target.value, event.target.form.elements.quick);
    output.textContent = found ? interpolate(gettext("counts as %s"), [found]) : "";
  });
})();
