// What a laptop keeps through a reload. A browser that refuses to keep anything holds it for as long as the page is open.

const fallback = new Map();
let works = true;

export function lasts() {
  return works;
}

export function put(name, value) {
  const text = JSON.stringify(value);
  try {
    localStorage.setItem(name, text);
    fallback.delete(name);
  } catch {
    works = false;
    fallback.set(name, text);
  }
}

export function get(name) {
  return parsed(fallback.get(name) ?? stored(() => localStorage.getItem(name)));
}

export function remove(name) {
  fallback.delete(name);
  stored(() => localStorage.removeItem(name));
}

// All names that begin so, in order.
export function names(start) {
  const all = new Set([...fallback.keys(), ...(stored(() => Object.keys(localStorage)) ?? [])]);
  return [...all].filter((name) => name.startsWith(start)).sort();
}

function stored(work) {
  try {
    return work();
  } catch {
    works = false;
    return null;
  }
}

function parsed(text) {
  try {
    return text == null ? null : JSON.parse(text);
  } catch {
    return null;
  }
}
