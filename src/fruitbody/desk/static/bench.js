// The notebook page: keys, what was typed and could not be kept, where the eye goes next. Works without it, too.
"use strict";

const typing = (target) => target.closest("input, textarea, select, [contenteditable]");

document.addEventListener("keydown", (event) => {
  if (event.ctrlKey || event.metaKey || event.altKey) return;
  if (event.key === "Escape" && typing(event.target)) event.target.blur();
  if (typing(event.target)) return;
  if (event.key === "/" || event.key === "e") {
    event.preventDefault();
    document.getElementById("entry").focus();
  }
  if (event.key === "n") showNumbers(!numbersShown);
});

// A form that could not be kept comes back with its sentence; it replaces itself like any other answer.
document.addEventListener("htmx:beforeSwap", (event) => {
  const status = event.detail.xhr.status;
  if (status === 422 || status === 409) {
    event.detail.shouldSwap = true;
    event.detail.isError = false;
  }
});

// After a line is kept, the next line that applies is ready to be typed; after the entry line, the entry line. This runs
// after the page has settled, because the field that had the focus gets it back first.
const settled = new WeakSet();
document.addEventListener("htmx:afterSettle", (event) => {
  const { xhr, requestConfig } = event.detail;
  if (!xhr || settled.has(xhr)) return;
  settled.add(xhr);
  const path = new URL(requestConfig.path, location).pathname;
  if (path.endsWith("/entry/")) return focus("entry");
  const id = path.match(/\/line\/([^/]+)\//);
  const line = id && document.getElementById(`line-${id[1]}`);
  if (!line) return;
  const kept = xhr.status === 200 && requestConfig.verb === "post";
  const goal = kept ? nextLine(line) : line;
  const field = goal.querySelector("input[name=value], input[type=checkbox], select");
  if (field) field.focus();
});

function focus(id) {
  const field = document.getElementById(id);
  if (field) field.focus();
}

function nextLine(line) {
  const shown = [...document.querySelectorAll(".line")].filter((other) => other === line || other.offsetParent !== null);
  return shown[shown.indexOf(line) + 1] || line;
}

// Look next: a name leads to its line and into its field.
document.addEventListener("click", (event) => {
  const link = event.target.closest("a[data-line]");
  if (!link) return;
  const field = document.querySelector(`#line-${link.dataset.line} input[name=value]`);
  if (field) requestAnimationFrame(() => field.focus());
});

// Numbers stand behind a key; once asked for, they stay for this page.
let numbersShown = false;
function showNumbers(shown) {
  numbersShown = shown;
  for (const number of document.querySelectorAll(".numbers")) number.hidden = !shown;
  for (const button of document.querySelectorAll("[data-numbers]")) button.setAttribute("aria-pressed", String(shown));
}
document.addEventListener("click", (event) => {
  if (event.target.closest("[data-numbers]")) showNumbers(!numbersShown);
});

// The slip is renewed after each finding: what was open in it stays open.
let opened = [];
document.addEventListener("htmx:oobBeforeSwap", (event) => {
  if (event.detail.target.id !== "fits") return;
  opened = [...event.detail.target.querySelectorAll("details[open] > summary")].map(key);
});
document.addEventListener("htmx:oobAfterSwap", (event) => {
  const slip = document.getElementById("fits");
  if (!slip || event.detail.target.id !== "fits") return;
  for (const summary of slip.querySelectorAll("details > summary")) {
    if (opened.includes(key(summary))) summary.parentElement.open = true;
  }
  showNumbers(numbersShown);
});
const key = (summary) => (summary.querySelector(".taxon") || summary).textContent.replace(/\d+/g, "").trim();
