// The clock of a set of reasons, on the device of whoever speaks or listens. Its signal is quiet: it is seen, and felt where
// the device can shake, and never heard. What the device takes for the time does not matter.

const SOON = 30; // seconds before the end

for (const shown of document.querySelectorAll("[data-speaking]")) {
  const [time, said] = [shown.querySelector("[data-time]"), shown.querySelector("[data-said]")];
  const [start, stop] = [shown.querySelector("[data-start]"), shown.querySelector("[data-stop]")];
  const seconds = 60 * Number(shown.dataset.minutes);
  let end = 0; // by performance.now(), in milliseconds
  let ticking;

  const text = (left) => `${Math.floor(left / 60)}:${String(left % 60).padStart(2, "0")}`;

  const signal = (state, words, shakes) => {
    if (shown.classList.contains(state)) return;
    shown.classList.add(state);
    said.textContent = words;
    navigator.vibrate?.(shakes);
  };

  const tick = () => {
    const left = Math.ceil((end - performance.now()) / 1000);
    time.textContent = left >= 0 ? text(left) : `+${text(-left)}`;
    if (left <= 0) signal("over", gettext("The time is over"), [300, 150, 300]);
    else if (left <= SOON) signal("soon", interpolate(gettext("%s seconds left"), [SOON]), 200);
  };

  const show = (runs) => {
    [start.hidden, stop.hidden] = [runs, !runs];
    (runs ? stop : start).focus();
  };

  start.addEventListener("click", () => {
    shown.classList.remove("soon", "over");
    said.textContent = "";
    end = performance.now() + 1000 * seconds;
    ticking = window.setInterval(tick, 250);
    tick();
    show(true);
  });

  stop.addEventListener("click", () => {
    window.clearInterval(ticking);
    show(false);
  });
}
