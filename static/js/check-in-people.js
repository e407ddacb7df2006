// Whom check-in knows, and who of them is found by what is typed: the same as `contest/entries/check_in_pages.py: found`.

export const MOST_ROWS = 8;

export class People {
  constructor(listed) {
    this.bring(listed);
  }

  // Who there is by what the server says; `unsent` are the bodies of what it has not been told yet.
  bring({ people, places, version }, unsent = []) {
    this.version = version;
    this.teams = places.map(([name, division], place) => ({ name, division, place, members: [], words: wordsOf(name) }));
    this.all = new Map();
    for (const [number, name, place, at, isPresent] of people) {
      const person = { number, name, team: this.teams[place], at, isPresent: Boolean(isPresent), words: wordsOf(`${number} ${name}`) };
      this.all.set(number, person);
      person.team.members.push(person);
    }
    for (const { act, numbers, at } of unsent) this.apply(act, numbers, at);
  }

  apply(act, numbers, at) {
    for (const person of numbers.map((number) => this.all.get(number)).filter(Boolean)) {
      person.at = act === "in" ? at : "";
      if (act === "in") person.isPresent = true;
    }
  }

  of(numbers) {
    return numbers.map((number) => this.all.get(number)).filter(Boolean);
  }

  // How many have arrived of how many who are expected.
  counts() {
    const present = [...this.all.values()].filter((person) => person.isPresent);
    return { arrived: present.filter((person) => person.at).length, expected: present.length };
  }

  // The rows, with whoever has the very number first, then teams; `isOne`: there is no doubt who is meant by it.
  find(typed) {
    const wanted = wordsOf(typed);
    if (!wanted.length) return { rows: [], more: 0, isOne: false };
    const exact = /^\d+$/.test(typed) ? this.all.get(Number(typed)) : null;
    const teams = this.teams.filter((team) => team.name && begins(wanted, team.words));
    const people = [...this.all.values()].filter((person) => person !== exact && begins(wanted, person.words));
    const rows = [...(exact ? [exact] : []), ...teams, ...people];
    return { rows: rows.slice(0, MOST_ROWS), more: Math.max(rows.length - MOST_ROWS, 0), isOne: Boolean(exact) || rows.length === 1 };
  }
}

export const expected = (team) => team.members.filter((person) => person.isPresent && !person.at);

const begins = (wanted, words) => wanted.every((typed) => words.some((word) => word.startsWith(typed)));

// Without accents, so that whoever types "zoe" finds Zoë.
function wordsOf(text) {
  return text.normalize("NFKD").replace(/\p{M}/gu, "").toLowerCase().split(/\s+/).filter(Boolean);
}
