// A handle by which a row of a list is dragged to another place, with a mouse, a pen or a finger; buttons do the same for
// everybody else. `moved` is called once a row was let go in another place.

export function grip(row, moved) {
  const handle = document.createElement("span");
  handle.className = "grip";
  handle.setAttribute("aria-hidden", "true"); // the buttons are there for everybody else
  handle.title = gettext("Drag to another place");
  handle.addEventListener("pointerdown", (pressed) => {
    if (pressed.button !== 0) return;
    pressed.preventDefault();
    const list = row.parentElement;
    const before = [...list.children];
    row.classList.add("dragged");
    const move = (at) => {
      const others = [...list.children].filter((other) => other !== row);
      const next = others.find((other) => {
        const box = other.getBoundingClientRect();
        return at.clientY < box.top + box.height / 2;
      });
      if (next !== row.nextElementSibling) list.insertBefore(row, next ?? null);
    };
    const stop = (ended) => {
      document.removeEventListener("pointermove", move);
      document.removeEventListener("pointerup", stop);
      document.removeEventListener("pointercancel", stop);
      row.classList.remove("dragged");
      if (ended.type === "pointercancel") list.append(...before);
      else if (before.some((other, place) => other !== list.children[place])) moved();
    };
    // On the document: the row is taken out and put in again on its way, and would lose a captured pointer.
    document.addEventListener("pointermove", move);
    document.addEventListener("pointerup", stop);
    document.addEventListener("pointercancel", stop);
  });
  return handle;
}
