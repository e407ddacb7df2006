// A browser that loses its cookies comes back under the name it joined with: it tells a secret that it keeps elsewhere.

import * as keep from "./desk-keep.js";

const NAME = "tanbark-device";
const field = document.getElementById("device");

if (field) {
  const bytes = crypto.getRandomValues(new Uint8Array(24));
  const secret = keep.get(NAME) ?? [...bytes].map((byte) => byte.toString(16).padStart(2, "0")).join("");
  keep.put(NAME, secret);
  field.value = secret;
}
