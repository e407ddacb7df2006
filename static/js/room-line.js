// The sets of a room in their order, and what each thing that happens makes of them.

export class Line {
  constructor(sets) {
    this.version = 0; // grows with everything that happens here
    this.replace(sets);
  }

  replace(sets) {
    this.sets = sets;
  }

  find(number, classNumber) {
    return this.sets.find((set) => set.number === number && set.classNumber === classNumber) ?? null;
  }

  // The set before the official: whoever speaks, until they are stopped; else the one picked, or the next.
  current(chosen) {
    return this.speaking() ?? (chosen && this.find(chosen.number, chosen.classNumber)) ?? this.coming()[0] ?? null;
  }

  speaking() {
    return this.sets.find((set) => set.state === "speaking") ?? null;
  }

  coming() {
    return this.sets.filter((set) => set.state === "planned");
  }

  done() {
    return this.sets.filter((set) => set.state === "heard" || set.state === "absent").reverse();
  }

  next(set) {
    return this.coming().find((other) => other !== set) ?? null;
  }

  apply({ what, number, class_number: classNumber, at, points, note, marks }) {
    const set = this.find(number, classNumber);
    this.version += 1;
    if (!set) return;
    if (what === "begin") {
      for (const other of this.sets) {
        if (other !== set && other.state === "speaking") Object.assign(other, { state: "heard", stopped: at });
      }
      Object.assign(set, { state: "speaking", began: at, stopped: null });
    }
    if (what === "stop") Object.assign(set, { state: "heard", stopped: at });
    if (what === "absent") set.state = "absent";
    if (what === "back") Object.assign(set, { state: "planned", began: null, stopped: null });
    if (what === "score") set.points = points;
    if (what === "clear") set.points = null;
    if (what === "write") Object.assign(set, { note, marks });
  }

  // Lists sets to pick from; `names` counts those before the list, so that the first two are told apart.
  // `unsent` holds the keys of those of which something is on this device alone.
  list(element, sets, names, pick, unsent) {
    const focused = element.contains(document.activeElement) ? document.activeElement.dataset.key : null;
    element.replaceChildren(
      ...sets.map((set, place) => {
        const item = document.createElement("li");
        const button = document.createElement("button");
        button.type = "button";
        button.dataset.key = `${set.number} ${set.classNumber}`;
        button.append(part("number", set.number), part("on-class", interpolate(gettext("class %s"), [set.classNumber])), part("when", aside(set, place, names)));
        if (unsent.has(button.dataset.key)) button.append(part("unsent", gettext("not sent yet")));
        button.addEventListener("click", () => pick(set));
        item.append(button);
        return item;
      }),
    );
    if (focused) element.querySelector(`[data-key="${focused}"]`)?.focus();
  }
}

function aside(set, place, names) {
  if (set.state === "absent") return gettext("absent");
  if (set.state === "heard") return set.points === null ? gettext("no score yet") : interpolate(gettext("%s points"), [set.points]);
  return [gettext("next"), gettext("on deck")][place + names] ?? set.starts;
}

function part(name, text) {
  const span = document.createElement("span");
  span.className = name;
  span.textContent = text;
  return span;
}
