// Turns the board's pages, and has no button for it: space holds them, the arrows turn them. On a projector every sheet is
// cut into pages of whole rows that fit the screen, and stays for as long as its rows take to read; on a phone nothing is
// cut, and everybody scrolls for themselves.
"use strict";

(() => {
  const ON_A_PROJECTOR = window.matchMedia("(min-width: 48rem) and (min-height: 28rem) and (orientation: landscape)");
  const LOOK_ROUND = 4000; // milliseconds, as all times here: to find one's way on a new page
  const A_ROW = 1100;
  const SHORTEST = 8000;
  const LONGEST = 25000;
  const SMALLEST = 6; // the style sheet has a size for each data-size up to this

  const FEW_ROWS = 5; // so few look lost in two columns
  const BLANK = [".", "b", "B"]; // what remotes send
  const CODE = document.getElementById("sheet-code");

  const place = { sheet: "", page: 0 };
  let until = 0;
  let held = false;

  const sheets = () => [...document.querySelectorAll("#board [data-sheet]")];
  const rowsOf = (sheet) => [...sheet.querySelectorAll("[data-rows] > tr")];

  // Sets the names of a sheet as large as they can stand in full.
  function fit(sheet) {
    const isCut = (element) => element.scrollHeight > 1.15 * element.clientHeight; // letters may reach out of their line
    const title = sheet.querySelector("h1");
    largest(title, () => isCut(title));
    const cells = sheet.querySelector(".cells");
    if (cells) largest(cells, () => cells.offsetWidth > cells.parentElement.clientWidth);
    const theatre = sheet.querySelector(".theatre");
    const names = theatre ? [...theatre.querySelectorAll("[data-fit]")] : [];
    if (!names.length) return;
    const isTooLarge = () => names.some(isCut) || theatre.scrollHeight > theatre.clientHeight;
    theatre.classList.remove("alone");
    largest(theatre, isTooLarge);
    if (!isTooLarge()) return;
    theatre.classList.add("alone"); // one who needs all the room has it
    largest(theatre, isTooLarge);
  }

  function largest(element, isTooLarge) {
    element.dataset.size = 0;
    while (element.dataset.size < SMALLEST && isTooLarge()) element.dataset.size++;
  }

  // Rows stand in two columns where each of them is short enough for one; returns how many columns there are.
  function columnsOf(sheet, rows) {
    const table = sheet.querySelector("[data-box] > :is(.ranking, .cells)");
    if (!table || sheet.querySelector("[data-box] .tie")) return 1;
    const isOnePage = rows.length < FEW_ROWS;
    table.classList.toggle("in-two", !isOnePage);
    const isCut = (part) => part.scrollWidth > part.clientWidth + 1;
    if (isOnePage || [...table.querySelectorAll(".who > div > *, th.class")].some(isCut)) table.classList.remove("in-two");
    return table.classList.contains("in-two") ? 2 : 1;
  }

  // The pages of a sheet, each a run of rows: as few as there can be, and about equally full.
  function pagesOf(sheet) {
    const rows = rowsOf(sheet);
    const box = sheet.querySelector("[data-box]");
    if (!rows.length) return [rows];
    const columns = columnsOf(sheet, rows);
    const high = box.getBoundingClientRect().bottom - rows[0].getBoundingClientRect().top;
    const heights = rows.map((row) => row.getBoundingClientRect().height);
    const tallest = Math.max(...heights);
    const room = columns > 1 ? columns * Math.floor(high / tallest) * tallest : high;
    const needed = heights.reduce((sum, height) => sum + height, 0);
    if (needed <= room) return [rows];
    const most = cut(rows, heights, room, rows.length);
    return cut(rows, heights, room, Math.ceil(rows.length / most.length));
  }

  function cut(rows, heights, room, most) {
    const pages = [];
    let left = 0;
    rows.forEach((row, index) => {
      const page = pages.at(-1);
      if (page && page.length < most && heights[index] <= left) {
        page.push(row);
        left -= heights[index];
      } else {
        pages.push([row]);
        left = room - heights[index];
      }
    });
    return pages;
  }

  // The code to scan is the last page of what comes by itself. A board that comes anew does not bring it.
  function offerCode(board, paged) {
    if (!CODE) return;
    CODE.remove();
    if (!paged || "stays" in board.dataset || !sheets().length) return;
    CODE.dataset.sheet = "";
    board.append(CODE);
  }

  function show() {
    const paged = ON_A_PROJECTOR.matches;
    document.documentElement.classList.toggle("paged", paged);
    const board = document.getElementById("board");
    board.dataset.poll = paged ? board.dataset.onAScreen : board.dataset.onAPhone;
    offerCode(board, paged);
    const all = sheets();
    if (!all.length) return;
    const current = all.find((sheet) => sheet.id === place.sheet) ?? all[0];
    if (current.id !== place.sheet) {
      place.sheet = current.id;
      place.page = 0;
    }
    for (const sheet of all) sheet.hidden = paged && sheet !== current;
    if (!paged) {
      for (const sheet of all) for (const row of rowsOf(sheet)) row.hidden = false;
      for (const table of board.querySelectorAll(".in-two")) table.classList.remove("in-two");
      return;
    }
    for (const row of rowsOf(current)) row.hidden = false;
    fit(current);
    const pages = pagesOf(current);
    place.page = Math.min(place.page, pages.length - 1);
    const page = pages[place.page];
    for (const row of rowsOf(current)) row.hidden = !page.includes(row);
    const said = current.querySelector("[data-page-of]");
    if (said) said.textContent = pages.length > 1 ? interpolate(gettext("page %s of %s"), [place.page + 1, pages.length]) : "";
    return { all, pages, rows: page.length };
  }

  function stay(shown) {
    if (shown) until = Date.now() + Math.min(LONGEST, Math.max(SHORTEST, LOOK_ROUND + A_ROW * shown.rows));
  }

  function turn(by) {
    const shown = show();
    if (!shown) return;
    const to = place.page + by;
    if (to >= 0 && to < shown.pages.length) {
      place.page = to;
    } else {
      const { all } = shown;
      const here = all.findIndex((sheet) => sheet.id === place.sheet);
      place.sheet = all[(here + by + all.length) % all.length].id;
      place.page = by < 0 ? Infinity : 0;
    }
    stay(show());
  }

  function hold() {
    held = !held;
    if (!held) turn(1);
  }

  function tick() {
    const clock = document.querySelector("[data-clock]");
    const now = new Date().toTimeString().slice(0, 5);
    if (clock && clock.textContent !== now) clock.textContent = now;
    if (!held && Date.now() >= until) turn(1);
  }

  function start() {
    stay(show());
    tick();
    window.setInterval(tick, 250);
  }

  // A small remote in the hand turns pages too, and its blank key darkens this screen until it is pressed again.
  document.addEventListener("keydown", (event) => {
    if (!ON_A_PROJECTOR.matches || event.ctrlKey || event.altKey || event.metaKey) return;
    const by = { ArrowRight: 1, PageDown: 1, ArrowLeft: -1, PageUp: -1 }[event.key];
    if (by) turn(by);
    else if (event.key === " ") hold();
    else if (BLANK.includes(event.key)) document.documentElement.classList.toggle("went-dark");
    else return;
    event.preventDefault();
  });

  // What is new is shown on the page that one is on, for as long as it was to stay; a new list begins at its first.
  document.addEventListener("htmx:afterSwap", () => {
    const before = place.sheet;
    const shown = show();
    if (place.sheet !== before) stay(shown);
  });
  window.addEventListener("resize", show);
  document.fonts?.ready.then(show);
  ON_A_PROJECTOR.addEventListener("change", () => stay(show()));
  start();
})();
