// Shows how a photograph will be turned, and what will be left of it once its edges are cut off, before that is saved.
// The form does the same without this script.

const [shown] = document.querySelectorAll("[data-crop]");
const [picture, frame] = [shown.querySelector("img"), shown.querySelector(".practice-frame")];
const form = document.querySelector(".practice-form");
const edges = ["top", "right", "bottom", "left"];

function show() {
  const quarters = Number(form.elements.quarters.value);
  const { naturalWidth: width, naturalHeight: height } = picture;
  if (!width) return;
  const lies = quarters % 2 === 1;
  const ratio = lies ? height / width : width / height;
  shown.style.aspectRatio = ratio;
  shown.style.maxInlineSize = `min(40rem, ${70 * ratio}vh)`; // all of it beside the form, on a laptop too
  picture.style.inlineSize = lies ? `${(100 * width) / height}%` : "100%";
  picture.style.transform = `rotate(${quarters * 90}deg)`;
  frame.style.inset = edges.map((edge) => `${form.elements[edge].value}%`).join(" ");
  frame.hidden = false;
  for (const edge of edges) {
    form.elements[edge].parentElement.querySelector("output").textContent = `${form.elements[edge].value} %`;
  }
}

shown.classList.add("turns");
form.addEventListener("input", show);
picture.addEventListener("load", show);
show();
