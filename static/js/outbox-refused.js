// What the server refused of what was sent by forms: it stays in sight until somebody has seen it.

export function showRefused(element, outbox) {
  function draw() {
    const refused = outbox.entries().filter((entry) => entry.refused && entry.kind === "form");
    element.replaceChildren(...refused.map((entry) => refusal(entry, outbox)));
  }

  outbox.addEventListener("change", draw);
  draw();
}

function refusal({ submission, label, refused, at }, outbox) {
  const line = document.createElement("p");
  line.className = "wrong";
  line.append(interpolate(gettext("Not done, %s: %s"), [label, refused]), " ");
  if (at && at !== location.href) {
    const link = document.createElement("a");
    link.href = at;
    link.textContent = gettext("Open it");
    line.append(link, " ");
  }
  const seen = document.createElement("button");
  seen.type = "button";
  seen.className = "press plain small";
  seen.textContent = gettext("Seen");
  seen.addEventListener("click", () => outbox.acknowledge(submission));
  line.append(seen);
  return line;
}
