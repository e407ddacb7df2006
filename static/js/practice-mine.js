// A member's page: what they placed and noted is kept on this device until they hand it in, and the page follows the coach.

import * as keep from "./desk-keep.js";
import { Outline } from "./practice-outline.js";
import { PlacingByTap } from "./practice-placing.js";

const form = document.getElementById("hand-in");
const notes = document.querySelector("[data-notes]");
const NAME = `tanbark-practice:${notes.dataset.notes}`;
const kept = { placing: "", notes: {}, outline: {}, ...keep.get(NAME) };
const save = () => keep.put(NAME, kept);
const builder = document.querySelector("[data-builder]");
const animals = notes.dataset.animals;
const outline = new Outline(builder, kept.outline, save);
const placing = form && new PlacingByTap(form, kept.placing);

// The outline is of what they have placed; once the class is closed, of what they handed in.
const draw = () => {
  const tapped = placing && !form.hidden ? placing.value : "";
  outline.draw(tapped || builder.dataset.placed || kept.placing, kept.notes, animals);
};

placing?.addEventListener("change", () => {
  kept.placing = placing.value;
  save();
  draw();
});

for (const field of notes.querySelectorAll("textarea")) {
  if (field.value) kept.notes[field.name] = field.value; // typed before this script listened
  else field.value = kept.notes[field.name] ?? "";
  field.addEventListener("input", () => {
    kept.notes[field.name] = field.value;
    save();
    draw();
  });
}

save();
draw();

// What is not handed in never leaves the device: it belongs to no form.
const too = document.getElementById("notes-too");
const belong = () => {
  for (const field of notes.querySelectorAll("textarea")) field.setAttribute("form", too.checked ? form.id : "none");
};
too?.addEventListener("change", belong);

// Where the practice is now: another class, or one that is begun, is another page; one that is closed only takes no more.
const where = () => (document.getElementById("mine-live")?.dataset.at ?? "").split(" ");
const [number] = where();
const said = document.getElementById("state-said");

function follow() {
  const [now, state] = where();
  if (!now) return;
  if (now !== number || (state === "open" && !form)) {
    location.reload();
    return;
  }
  if (form) form.hidden = state !== "open";
  draw();
  const text = document.querySelector("#mine-live .practice-state").textContent.trim().replace(/\s+/g, " ");
  if (said.textContent !== text) said.textContent = text;
}

document.addEventListener("htmx:afterSwap", follow);
