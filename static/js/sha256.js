// SHA-256 of what comes piece by piece (FIPS 180-4). The browser's own takes everything at once, and is kept from pages
// that come by plain http.

const BLOCK = 64;
const primes = [];
for (let number = 2; primes.length < 64; number++) if (primes.every((prime) => number % prime)) primes.push(number);
const fraction = (root) => ((root % 1) * 2 ** 32) | 0;
const CONSTANTS = Int32Array.from(primes, (prime) => fraction(Math.cbrt(prime)));
const START = primes.slice(0, 8).map((prime) => fraction(Math.sqrt(prime)));

export class Sha256 {
  constructor() {
    this.state = Int32Array.from(START);
    this.words = new Int32Array(BLOCK);
    this.rest = new Uint8Array(0); // less than a block
    this.length = 0;
  }

  add(bytes) {
    this.length += bytes.length;
    let at = 0;
    if (this.rest.length) {
      at = Math.min(BLOCK - this.rest.length, bytes.length);
      const block = new Uint8Array(this.rest.length + at);
      block.set(this.rest);
      block.set(bytes.subarray(0, at), this.rest.length);
      this.rest = block;
      if (block.length < BLOCK) return this;
      this.blocks(block, 0, BLOCK);
    }
    const whole = bytes.length - ((bytes.length - at) % BLOCK);
    this.blocks(bytes, at, whole);
    this.rest = bytes.slice(whole);
    return this;
  }

  // Nothing can be added after it was asked for.
  hex() {
    const bits = this.length * 8;
    const end = new Uint8Array(BLOCK * (this.rest.length < BLOCK - 8 ? 1 : 2));
    end.set(this.rest);
    end[this.rest.length] = 0x80;
    const view = new DataView(end.buffer);
    view.setUint32(end.length - 8, Math.floor(bits / 2 ** 32));
    view.setUint32(end.length - 4, bits >>> 0);
    this.blocks(end, 0, end.length);
    return Array.from(this.state, (word) => (word >>> 0).toString(16).padStart(8, "0")).join("");
  }

  blocks(bytes, from, to) {
    const { state, words: w } = this;
    let [a, b, c, d, e, f, g, h] = state;
    for (let at = from; at < to; at += BLOCK) {
      for (let i = 0, j = at; i < 16; i++, j += 4) w[i] = (bytes[j] << 24) | (bytes[j + 1] << 16) | (bytes[j + 2] << 8) | bytes[j + 3];
      for (let i = 16; i < BLOCK; i++) {
        const x = w[i - 15];
        const y = w[i - 2];
        const first = ((x >>> 7) | (x << 25)) ^ ((x >>> 18) | (x << 14)) ^ (x >>> 3);
        const second = ((y >>> 17) | (y << 15)) ^ ((y >>> 19) | (y << 13)) ^ (y >>> 10);
        w[i] = (w[i - 16] + first + w[i - 7] + second) | 0;
      }
      for (let i = 0; i < BLOCK; i++) {
        const sum = ((e >>> 6) | (e << 26)) ^ ((e >>> 11) | (e << 21)) ^ ((e >>> 25) | (e << 7));
        const one = (h + sum + ((e & f) ^ (~e & g)) + CONSTANTS[i] + w[i]) | 0;
        const other = ((a >>> 2) | (a << 30)) ^ ((a >>> 13) | (a << 19)) ^ ((a >>> 22) | (a << 10));
        const two = (other + ((a & b) ^ (a & c) ^ (b & c))) | 0;
        h = g;
        g = f;
        f = e;
        e = (d + one) | 0;
        d = c;
        c = b;
        b = a;
        a = (one + two) | 0;
      }
      a = state[0] = (state[0] + a) | 0;
      b = state[1] = (state[1] + b) | 0;
      c = state[2] = (state[2] + c) | 0;
      d = state[3] = (state[3] + d) | 0;
      e = state[4] = (state[4] + e) | 0;
      f = state[5] = (state[5] + f) | 0;
      g = state[6] = (state[6] + g) | 0;
      h = state[7] = (state[7] + h) | 0;
    }
  }
}
