// Narrows tables to the rows that hold every word typed into a field marked data-search, as it is typed. Here and not on
// the server, so that no name ever stands in an address.
//
// The field names the tables (data-search) and where it is said how many rows are left (data-count), in the words of
// data-of: a page that is read without this server has no other texts. It may name the
// cells that are looked through (data-cells), and those of them that may stand in an address (data-kept): while these
// alone find the same rows, the address and the links in data-links say what is looked for, so that one can come back.
"use strict";

for (const field of document.querySelectorAll("[data-search]")) {
  const { search, cells, kept, links, of } = field.dataset;
  const count = document.querySelector(field.dataset.count);
  const whole = count.textContent;
  const tables = [...document.querySelectorAll(search)].map((table) => {
    const rows = [...table.tBodies[0].rows];
    return { table, rows, texts: rows.map((row) => textOf(row, cells)), keeps: rows.map((row) => textOf(row, kept)) };
  });
  const rows = tables.flatMap((one) => one.rows);
  const named = tables.some(({ table }) => table.dataset.nouns);
  field.disabled = false;
  if (field.dataset.placeholder) field.placeholder = field.dataset.placeholder;
  const narrow = () => {
    const words = plain(field.value).split(/\s+/).filter(Boolean);
    const holds = (text) => words.every((word) => text.includes(word));
    for (const { table, rows, texts } of tables) {
      rows.forEach((row, at) => (row.hidden = !holds(texts[at])));
      const [tally, none] = ["[data-tally]", "[data-none]"].map((name) => table.parentElement.querySelector(name));
      if (tally) tally.textContent = counts(table, rows, of);
      if (none) none.hidden = left(rows) > 0;
    }
    if (named) count.textContent = tables.map(({ table, rows }) => counts(table, rows, of)).join(", ");
    else count.textContent = words.length ? some(of, left(rows), whole) : whole;
    if (kept) {
      const same = tables.every(({ rows, keeps }) => rows.every((row, at) => row.hidden !== holds(keeps[at])));
      keep(same && left(rows) ? field.value.trim() : "", links); // what finds nobody may be a name too
    }
  };
  field.addEventListener("input", narrow);
  if (field.value !== field.defaultValue) narrow(); // typed before this script listened
  field.addEventListener("keydown", (event) => {
    if (event.key === "Enter") {
      event.preventDefault();
      const seen = rows.filter((row) => !row.hidden);
      if (field.value.trim() && seen.length === 1) seen[0].querySelector("a")?.click();
    }
  });
}

function left(rows) {
  return rows.filter((row) => !row.hidden).length;
}

// "3 of 59 contestants", as the table's data-nouns calls its rows and the field's data-of puts it.
function counts(table, rows, of) {
  const [one, many] = table.dataset.nouns.split("|");
  const noun = `${figure(rows.length)} ${rows.length === 1 ? one : many}`;
  return left(rows) === rows.length ? noun : some(of, figure(left(rows)), noun);
}

function some(of, part, whole) {
  return of.replace("%s", part).replace("%s", whole);
}

function figure(number) {
  return number.toLocaleString(document.documentElement.lang);
}

function keep(wanted, links) {
  const withIt = (address) => {
    const url = new URL(address);
    if (wanted) url.searchParams.set("find", wanted);
    else url.searchParams.delete("find");
    return url.href;
  };
  history.replaceState(null, "", withIt(location.href));
  for (const link of document.querySelectorAll(links)) link.href = withIt(link.href);
}

function textOf(row, cells) {
  if (!cells) return plain(row.textContent);
  return plain([...row.querySelectorAll(cells)].map((cell) => cell.textContent).join(" "));
}

// Without accents, so that whoever types "zoe" finds Zoë.
function plain(text) {
  return text.normalize("NFKD").replace(/\p{M}/gu, "").toLowerCase();
}
