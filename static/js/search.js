// Narrows a table to the rows that hold every word typed into a field marked data-search, as it is typed. Here and not
// on the server, so that no name ever stands in an address.
"use strict";

for (const field of document.querySelectorAll("[data-search]")) {
  const rows = [...document.querySelectorAll(`${field.dataset.search} tbody tr`)];
  const texts = rows.map((row) => plain(row.textContent));
  const count = document.querySelector(field.dataset.count);
  const whole = count.textContent;
  field.disabled = false;
  field.addEventListener("input", () => {
    const words = plain(field.value).split(/\s+/).filter(Boolean);
    let shown = 0;
    rows.forEach((row, at) => {
      row.hidden = !words.every((word) => texts[at].includes(word));
      shown += row.hidden ? 0 : 1;
    });
    count.textContent = words.length ? `${shown} of ${whole}` : whole;
  });
  field.addEventListener("keydown", (event) => {
    if (event.key === "Enter") {
      event.preventDefault();
      const seen = rows.filter((row) => !row.hidden);
      if (field.value.trim() && seen.length === 1) seen[0].querySelector("a").click();
    }
  });
}

// Without accents, so that whoever types "zoe" finds Zoë.
function plain(text) {
  return text.normalize("NFKD").replace(/\p{M}/gu, "").toLowerCase();
}
