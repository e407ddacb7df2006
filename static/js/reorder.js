// Lists that can be put in order by dragging, with a mouse, a pen or a finger. The buttons beside each row do the same
// without this script, and for the keyboard.

import { grip } from "./drag.js";

for (const form of document.querySelectorAll("form[data-reorder]")) {
  const rows = () => [...form.querySelectorAll("li[data-key]")];
  if (rows().length < 2) continue;
  const send = () => {
    form.elements.order.value = rows().map((row) => row.dataset.key).join(" ");
    form.submit();
  };
  for (const row of rows()) row.prepend(grip(row, send));
}
