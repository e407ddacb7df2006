// Lists that can be put in order by dragging, with a mouse, a pen or a finger. The buttons beside each row do the same
// without this script, and for the keyboard.

for (const form of document.querySelectorAll("form[data-reorder]")) {
  const rows = () => [...form.querySelectorAll("li[data-key]")];
  const order = () => rows().map((row) => row.dataset.key).join(" ");
  if (rows().length < 2) continue;
  for (const row of rows()) row.prepend(grip(form, row, order));
}

function grip(form, row, order) {
  const handle = document.createElement("span");
  handle.className = "grip";
  handle.setAttribute("aria-hidden", "true"); // the buttons are there for everybody else
  handle.title = gettext("Drag to another place");
  handle.addEventListener("pointerdown", (pressed) => {
    if (pressed.button !== 0) return;
    pressed.preventDefault();
    const before = order();
    row.classList.add("dragged");
    const move = (moved) => {
      const others = [...row.parentElement.children].filter((other) => other !== row);
      const next = others.find((other) => {
        const box = other.getBoundingClientRect();
        return moved.clientY < box.top + box.height / 2;
      });
      if (next !== row.nextElementSibling) row.parentElement.insertBefore(row, next ?? null);
    };
    const stop = (ended) => {
      document.removeEventListener("pointermove", move);
      document.removeEventListener("pointerup", stop);
      document.removeEventListener("pointercancel", stop);
      row.classList.remove("dragged");
      if (ended.type === "pointercancel") {
        const place = new Map(before.split(" ").map((key, index) => [key, index]));
        const all = [...row.parentElement.children].sort((a, b) => place.get(a.dataset.key) - place.get(b.dataset.key));
        row.parentElement.append(...all);
      } else if (order() !== before) {
        form.elements.order.value = order();
        form.submit();
      }
    };
    // On the document: the row is taken out and put in again on its way, and would lose a captured pointer.
    document.addEventListener("pointermove", move);
    document.addEventListener("pointerup", stop);
    document.addEventListener("pointercancel", stop);
  });
  return handle;
}
