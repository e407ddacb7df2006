// Says at once that a chosen file is too large, before anything of it is sent. The server has the same limit.
"use strict";

(() => {
  const MEGABYTE = 1024 * 1024;
  const language = document.documentElement.lang || "en";
  const inMegabytes = (bytes) => (bytes / MEGABYTE).toLocaleString(language, { maximumFractionDigits: 1 });

  function trouble(input) {
    const most = Number(input.dataset.mostBytes);
    const size = [...input.files].reduce((sum, file) => sum + file.size, 0);
    if (size <= most) return "";
    const told = gettext("The file has %(size)s MB; %(most)s MB is the most. Choose a smaller one.");
    return interpolate(told, { size: inMegabytes(size), most: inMegabytes(most) }, true);
  }

  function show(input) {
    const why = trouble(input);
    const id = `${input.id}-size`;
    document.getElementById(id)?.remove();
    input.toggleAttribute("aria-invalid", Boolean(why));
    if (!why) return true;
    const list = document.createElement("ul");
    Object.assign(list, { id, className: "errorlist" });
    list.setAttribute("role", "alert");
    list.appendChild(document.createElement("li")).textContent = why;
    input.setAttribute("aria-describedby", id);
    input.setAttribute("aria-invalid", "true");
    input.before(list);
    return false;
  }

  document.addEventListener("change", (event) => event.target.matches("[data-most-bytes]") && show(event.target));

  document.addEventListener("submit", (event) => {
    const refused = [...event.target.querySelectorAll("[data-most-bytes]")].filter((input) => !show(input));
    if (!refused.length) return;
    event.preventDefault();
    refused[0].focus();
  });
})();
