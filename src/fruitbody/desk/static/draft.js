// What is typed is kept in the browser field by field, comes back after a reload, and goes when the form has arrived.
(() => {
  const form = document.getElementById("send");
  const PLACE = "fruitbody.send";
  const words = document.getElementById("sending");
  const button = document.getElementById("send-button");
  const skip = new Set(["csrfmiddlewaretoken", "kind-INITIAL_FORMS", "kind-MIN_NUM_FORMS", "kind-MAX_NUM_FORMS"]);

  const read = () => {
    try { return JSON.parse(localStorage.getItem(PLACE)) || {}; } catch { return {}; }
  };
  const write = (draft) => {
    try { localStorage.setItem(PLACE, JSON.stringify(draft)); } catch { /* a full or closed store: the form still works */ }
  };

  function fields() {
    return [...form.elements].filter((f) => f.name && !skip.has(f.name) && f.type !== "file" && f.type !== "submit" && f.tagName !== "FIELDSET");
  }

  function keep() {
    const values = {};
    const views = {};
    for (const field of fields()) {
      if (field.type === "radio") { if (field.checked) values[field.name] = field.value; }
      else if (field.type === "checkbox") values[field.name] = field.checked;
      else values[field.name] = field.value;
    }
    for (const item of form.querySelectorAll(".shots [data-photo]")) {
      const list = item.closest(".shots");
      views[item.dataset.photo] = [item.closest("section.kind").dataset.kind, list.dataset.view || list.closest(".slot").dataset.view];
    }
    write({ values, views });
  }

  function restore({ values, views }) {
    form.dispatchEvent(new CustomEvent("kinds:wanted", { detail: Number(values["kind-TOTAL_FORMS"] || 1) }));
    for (const field of fields()) {
      if (!(field.name in values) || field.name === "kind-TOTAL_FORMS") continue;
      if (field.type === "radio") field.checked = values[field.name] === field.value;
      else if (field.type === "checkbox") field.checked = values[field.name];
      else field.value = values[field.name];
    }
    for (const section of form.querySelectorAll("section.kind")) section.dispatchEvent(new CustomEvent("kind:refresh"));
    form.dispatchEvent(new CustomEvent("draft:restored", { detail: { views } }));
  }

  function say(sentence) {
    words.hidden = false;
    words.textContent = sentence;
  }

  const online = () => new Promise((resolve) => window.addEventListener("online", resolve, { once: true }));
  const later = (ms) => new Promise((resolve) => setTimeout(resolve, ms));
  const idle = () => new Promise((resolve) => form.addEventListener("photos:idle", resolve, { once: true }));

  async function send() {
    button.disabled = true;
    while (form.photosUnderWay()) {
      say("Photos are still on their way. The form goes by itself when they have arrived; nothing is lost meanwhile.");
      await idle();
    }
    say("Sending …");
    for (;;) {
      try {
        const answer = await fetch(form.action, { method: "POST", body: new FormData(form) });
        if (answer.redirected) { location.assign(answer.url); return; }
        if (answer.status < 500) { HTMLFormElement.prototype.submit.call(form); return; } // mistakes are shown by the page itself
        say("The clinic's computer did not answer. All is kept here; it is sent again in a minute.");
        await later(60000);
      } catch {
        say("No connection. All that you typed is kept on this phone, and goes by itself when the connection is back.");
        await Promise.race([online(), later(60000)]);
      }
    }
  }

  const draft = read();
  if (form.dataset.bound === "no" && draft.values) restore(draft);
  else form.dispatchEvent(new CustomEvent("draft:restored", { detail: {} }));

  form.addEventListener("input", keep);
  form.addEventListener("change", keep);
  form.addEventListener("kind:added", keep);
  form.addEventListener("submit", (event) => {
    if (event.submitter && event.submitter.id === "add-kind") return;
    event.preventDefault();
    keep();
    send();
  });

  const forget = document.getElementById("forget");
  forget.hidden = false;
  document.getElementById("kept-words").hidden = false;
  forget.addEventListener("click", () => {
    localStorage.removeItem(PLACE);
    location.assign(location.pathname);
  });
  const mistakes = document.getElementById("mistakes");
  if (mistakes) mistakes.focus();
})();
