// Receiving: warns before anything is opened, and keeps one press from becoming two.
// Which words ask for the hood comes with the page, as JSON pairs of id and plain word in #hood-words.
const asking = document.getElementById("hood-words");
const hoodWords = new Map(asking ? JSON.parse(asking.textContent) : []);

function warn(form) {
  const box = form.querySelector("[data-hood-box]");
  if (!box) return;
  const ticked = [...form.querySelectorAll("input[type=checkbox]:checked, select")].map((field) => hoodWords.get(field.value)).filter(Boolean);
  box.hidden = ticked.length === 0;
  if (ticked.length) box.querySelector("[data-hood-words]").textContent = `You said: ${[...new Set(ticked)].join(", ")}.`;
  const tick = box.querySelector("input[type=checkbox]");
  tick.required = ticked.length > 0;
  if (!ticked.length) tick.checked = false;
}

function elsewhere(form) {
  const box = form.querySelector("[data-elsewhere]");
  const region = form.querySelector("select[name=origin_region]");
  if (box && region) box.hidden = region.value === box.dataset.elsewhere;
}

for (const form of document.querySelectorAll("form[data-receiving]")) {
  const look = () => { warn(form); elsewhere(form); };
  form.addEventListener("change", look);
  look();
}

// The server keeps a form once; the button says so too, and works again when one comes back to the page.
for (const form of document.querySelectorAll("form[data-once]")) {
  form.addEventListener("submit", () => {
    for (const button of form.querySelectorAll("button")) setTimeout(() => { button.disabled = true; }, 0);
  });
}
window.addEventListener("pageshow", () => {
  for (const button of document.querySelectorAll("form[data-once] button")) button.disabled = false;
});
