// A page with a data-news element asks now and then whether there is anything newer than it shows, and says so with a
// link: whoever reads or searches it is not disturbed. A page that only waits (data-news="reload") shows it at once.
//
// The element's data-version says what the page shows; 204 means that there is nothing newer. A page that nobody can see
// asks seldom, and at once when it comes to light again. After several misses it says since when there is no answer.
"use strict";

(() => {
  const EVERY = 10_000; // milliseconds
  const SLOWER_HIDDEN = 6; // times
  const PATIENCE = 5000; // for one answer
  const MISSES = 3; // in a row

  const news = document.querySelector("[data-news]");
  if (!news) return;
  const address = new URL(location.pathname, location.href);
  address.searchParams.set("v", news.dataset.version);
  let good = new Date();
  let misses = 0;
  let asked = Date.now();

  async function ask() {
    asked = Date.now();
    try {
      const answer = await fetch(address, { signal: AbortSignal.timeout(PATIENCE), headers: { Accept: "text/html" } });
      if (!answer.ok) throw new Error(answer.status);
      good = new Date();
      misses = 0;
      if (answer.status === 204) news.hidden = true;
      else if (news.dataset.news === "reload") location.reload();
      else tell(news.dataset.newer, true);
    } catch {
      misses += 1;
      if (misses >= MISSES) tell(news.dataset.silent.replace("%s", good.toTimeString().slice(0, 8)), false);
    }
  }

  function tell(words, withLink) {
    if (news.dataset.told === words) return;
    news.dataset.told = words;
    news.replaceChildren(words);
    if (withLink) {
      const link = document.createElement("a");
      link.href = location.href;
      link.textContent = news.dataset.show;
      link.addEventListener("click", (event) => {
        event.preventDefault();
        location.reload(); // an address that ends in a part of the page would only lead to that part
      });
      news.append(" ", link);
    }
    news.hidden = false;
  }

  function perhaps() {
    const slower = document.hidden ? SLOWER_HIDDEN : 1;
    if (Date.now() - asked >= EVERY * slower) ask();
  }

  window.setInterval(perhaps, 1000);
  document.addEventListener("visibilitychange", perhaps);
  window.addEventListener("online", ask);
})();
