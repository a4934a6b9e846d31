// Kinds on the form: add one, leave one out, keep their names in the headings.
(() => {
  const form = document.getElementById("send");
  const list = document.getElementById("kinds");
  const total = form.elements["kind-TOTAL_FORMS"];
  const add = document.getElementById("add-kind");
  const most = Number(form.dataset.mostKinds);

  function addKind() {
    const index = Number(total.value);
    if (index >= most) return null;
    const sheet = document.createElement("div");
    sheet.innerHTML = document.getElementById("kind-template").innerHTML.replaceAll("__prefix__", String(index));
    const section = sheet.firstElementChild;
    section.querySelector("input[name$='-label']").value = String.fromCharCode(65 + (index % 26));
    list.insertBefore(section, add);
    total.value = String(index + 1);
    add.hidden = index + 1 >= most;
    dress(section);
    section.dispatchEvent(new CustomEvent("kind:added", { bubbles: true }));
    return section;
  }

  // What is left out keeps its answers until the form is sent, but nothing is asked of it any more.
  function dress(section) {
    const remove = section.querySelector("input[name$='-remove']");
    const body = section.querySelector("fieldset.kind-body");
    const label = section.querySelector("input[name$='-label']");
    const apply = () => {
      body.disabled = remove.checked;
      body.hidden = remove.checked;
      section.querySelector(".kind-name").textContent = label.value;
    };
    remove.addEventListener("change", apply);
    label.addEventListener("input", apply);
    section.addEventListener("kind:refresh", apply);
    apply();
  }

  for (const section of list.querySelectorAll("section.kind")) dress(section);

  add.addEventListener("click", (event) => {
    event.preventDefault();
    const section = addKind();
    if (section) {
      section.scrollIntoView({ block: "start" });
      section.querySelector("input[name$='-label']").focus({ preventScroll: true });
    }
  });

  // The draft asks for as many kinds as it holds.
  form.addEventListener("kinds:wanted", (event) => {
    while (Number(total.value) < event.detail && addKind());
  });
})();
