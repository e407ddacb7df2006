// The pictures of scanned cards in the place of paper: those of the card that is read now are shown, those of the next
// ones are fetched beforehand.

const AHEAD = 3;

export class Pictures {
  // `addresses` are those of the pictures by number.
  constructor(element, addresses) {
    this.element = element;
    this.addresses = addresses;
    this.held = new Map();
  }

  has(number) {
    return number !== null && number in this.addresses;
  }

  draw({ now, next }) {
    const wanted = [now, ...next.slice(0, AHEAD)].filter((number) => this.has(number));
    for (const [number, images] of this.held) {
      if (wanted.includes(number)) continue;
      images.forEach((image) => image.remove());
      this.held.delete(number);
    }
    for (const number of wanted) if (!this.held.has(number)) this.held.set(number, this.fetched(number));
    for (const [number, images] of this.held) for (const image of images) image.hidden = number !== now;
    this.element.querySelector("[data-part=no-picture]").hidden = now === null || this.has(now);
  }

  fetched(number) {
    return this.addresses[number].map((address) => {
      const image = document.createElement("img");
      image.src = address;
      image.alt = interpolate(gettext("Picture of the card of %s"), [number]);
      this.element.append(image);
      return image;
    });
  }
}
