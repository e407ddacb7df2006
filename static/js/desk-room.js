// The tabulation room, and the list of scores: sends what still waits on this laptop. Where stacks are taken, a typed
// digit begins the name of one.

import { Outbox } from "./desk-outbox.js";
import { showSign } from "./desk-sign.js";

const page = JSON.parse(document.getElementById("desk-page").textContent);
const token = document.querySelector("[name=csrfmiddlewaretoken]")?.value ?? "";
const outbox = new Outbox(page, token);
const field = document.getElementById("stack");

showSign(document.getElementById("sign"), outbox, (text) => {
  document.getElementById("room-said").textContent = text;
});
outbox.pump();

document.addEventListener("keydown", (event) => {
  if (event.ctrlKey || event.altKey || event.metaKey || event.target.matches("input")) return;
  if (/^[0-9]$/.test(event.key)) field?.focus();
});
