// Pages that are brought go out in pieces, so that a file of any length is never held whole, here or there, and goes on
// where it broke off: after a cut network by itself, after anything else where the same files are chosen again. The
// server says which piece it wants next. Without this script the forms are sent as they stand.

import { Sha256 } from "./sha256.js";

const AGAIN = 2000; // milliseconds
const PATIENCE = 120000; // for one piece, on the poorest network
const MEGABYTE = 1000000;
const inMegabytes = (bytes) => (bytes / MEGABYTE).toLocaleString(document.documentElement.lang || "en", { maximumFractionDigits: 1 });

class Stopped extends Error {}

class Sending {
  constructor(form, files) {
    const { send, piece, sent, giveUp, pieceBytes } = form.closest("[data-send]").dataset;
    Object.assign(this, { form, files, addresses: { send, piece, sent, giveUp }, length: Number(pieceBytes) });
    this.shown = document.getElementById("sending");
  }

  part(name) {
    return this.shown.querySelector(`[data-part=${name}]`);
  }

  async go() {
    const { name } = this.files[0];
    this.part("name").textContent = name;
    this.part("words").textContent = "";
    this.part("problem").textContent = "";
    this.part("bar").removeAttribute("value");
    this.show(true);
    try {
      await this.all();
    } catch (problem) {
      if (!(problem instanceof Stopped)) throw problem;
      this.show(false, this.cancelled ? await this.cancelled : problem.message);
    }
  }

  show(sending, problem = "") {
    this.shown.hidden = !sending && !problem;
    this.part("on-its-way").hidden = !sending;
    this.shown.parentElement.classList.toggle("busy", sending);
    this.part("problem").textContent = problem;
    if (problem) this.shown.scrollIntoView({ block: "nearest" });
  }

  async all() {
    const told = this.files.map(({ name, size, lastModified }) => [name, size, lastModified]);
    this.hear(await this.post(this.addresses.send, new URLSearchParams({ told: JSON.stringify(told) })));
    let digests = [];
    do digests = await this.pieces();
    while (this.wanted); // a piece that was lost there, as by a power cut, comes again
    const { submission } = this.form.elements;
    const body = new URLSearchParams({ digests: digests.join(" "), submission: submission.value });
    this.part("words").textContent = gettext("All is here, and is being looked through.");
    const { next } = await this.post(this.at("sent"), body);
    location.assign(next);
    if (new URL(next, location.href).pathname === location.pathname) location.reload(); // else it only scrolls
  }

  // Every file is read from its beginning, as its digest is of all of it; only what is wanted goes out.
  async pieces() {
    const digests = [];
    for (const [place, file] of this.files.entries()) {
      const digest = new Sha256();
      for (let at = 0; at < file.size; at += this.length) {
        const piece = await this.read(file, at);
        digest.add(new Uint8Array(piece));
        if (this.wanted?.file === place && this.wanted.at === at) {
          this.hear(await this.post(`${this.at("piece")}?file=${place}&at=${at}`, piece));
        }
      }
      digests.push(digest.hex());
    }
    return digests;
  }

  async read(file, at) {
    if (this.cancelled) throw new Stopped();
    try {
      return await file.slice(at, at + this.length).arrayBuffer();
    } catch {
      throw new Stopped(gettext("The file was changed or removed on this device. Choose it once more."));
    }
  }

  at(name) {
    return this.addresses[name].replace(/[0-9a-f]{8}-[0-9a-f-]{27}/, this.key);
  }

  hear({ key = this.key, here, whole, wanted }) {
    Object.assign(this, { key, wanted });
    if (whole === undefined) return;
    const bar = this.part("bar");
    bar.max = whole;
    bar.value = here;
    const words = gettext("%(here)s of %(whole)s MB");
    this.part("words").textContent = interpolate(words, { here: inMegabytes(here), whole: inMegabytes(whole) }, true);
  }

  // What the server answers in our own words; asked again for as long as the network is cut.
  async post(address, body) {
    for (;;) {
      const { status, answer } = await this.fetch(address, body);
      if (this.cancelled) throw new Stopped();
      if (status === 401) throw new Stopped(gettext("This device is no longer let in. Join again and choose the same files: they go on where they stopped."));
      if (answer && (status === 200 || "wanted" in answer)) {
        this.part("problem").textContent = "";
        return answer;
      }
      if (answer?.problem) throw new Stopped(answer.problem);
      if (status >= 400 && status < 500) throw new Stopped(gettext("The server did not take it. Load the page again, and choose the same files."));
      this.part("problem").textContent = gettext("The laptop cannot be reached. It goes on by itself when it can.");
      await new Promise((go) => {
        this.hurry = go;
        setTimeout(go, AGAIN);
      });
    }
  }

  async fetch(address, body) {
    const headers = { Accept: "application/json", "X-CSRFToken": this.form.elements.csrfmiddlewaretoken.value };
    if (!(body instanceof URLSearchParams)) headers["Content-Type"] = "application/octet-stream";
    this.asking = new AbortController();
    const timer = setTimeout(() => this.asking.abort(), PATIENCE);
    try {
      const { signal } = this.asking;
      const response = await fetch(address, { method: "POST", headers, body, cache: "no-store", redirect: "manual", signal });
      const status = response.type === "opaqueredirect" ? 302 : response.status;
      return { status, answer: await response.json().catch(() => null) };
    } catch {
      return { status: 0, answer: null };
    } finally {
      clearTimeout(timer);
    }
  }

  cancel() {
    if (this.cancelled) return;
    this.asking.abort();
    this.hurry?.();
    this.cancelled = this.giveUp();
  }

  // What came of a cancel, in words: said only once the server has let go of what was there.
  async giveUp() {
    const { status } = this.key ? await this.fetch(this.at("giveUp"), new URLSearchParams()) : { status: 302 };
    if (status === 302) return gettext("Cancelled. Nothing of it was kept.");
    return gettext("Cancelled. The laptop could not be told: what it has of this goes by itself within a day.");
  }
}

let sending = null;

document.addEventListener("submit", async (event) => {
  const { target: form, defaultPrevented } = event;
  if (!form.matches("[data-sends]") || defaultPrevented) return;
  const files = [...form.querySelector("input[type=file]").files];
  if (!files.length) return;
  event.preventDefault();
  sending = new Sending(form, files);
  await sending.go();
});

document.querySelector("#sending [data-part=cancel]")?.addEventListener("click", () => sending?.cancel());
