// Forms with `data-outbox`, which says what they are called: what was sent is kept on this device until the server has it,
// so that nothing is lost where the network fails. What the server refuses is sent once more as the form it is, for the
// page that says what is wrong.

import { Outbox } from "./desk-outbox.js";
import { DEVICE, showSign } from "./desk-sign.js";
import { showRefused } from "./outbox-refused.js";

const page = JSON.parse(document.getElementById("outbox-page").textContent);
const outbox = new Outbox(page, document.querySelector("[name=csrfmiddlewaretoken]")?.value ?? "");
const forms = new Map(); // by their submissions

document.addEventListener("submit", (event) => {
  const form = event.target;
  if (!form.matches("[data-outbox]")) return;
  event.preventDefault();
  if (form.inert) return;
  const body = [...new FormData(form, event.submitter)].filter(([name]) => !["csrfmiddlewaretoken", "submission"].includes(name));
  const submission = form.elements.submission.value;
  forms.set(submission, form);
  form.inert = true;
  outbox.addForm({ room: page.room, label: form.dataset.outbox, at: location.href }, { to: form.action, body, submission });
});

outbox.addEventListener("answer", ({ detail: { entry, answer } }) => {
  const form = forms.get(entry.submission);
  if (!form) return;
  if (answer.kind === "refused") {
    outbox.acknowledge(entry.submission);
    form.inert = false;
    form.submit();
    return;
  }
  const part = form.closest("[data-until-sent]");
  if (!part) {
    location.assign(answer.next);
    return;
  }
  const next = part.nextElementSibling?.querySelector("button, a") ?? document.getElementById("main");
  part.remove();
  next.focus();
});

showRefused(document.getElementById("kept"), outbox);
showSign(document.getElementById("sign"), outbox, (text) => (document.getElementById("kept-said").textContent = text), DEVICE);
outbox.pump();
