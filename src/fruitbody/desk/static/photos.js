// Photos go up one by one as soon as they are chosen, with progress, and again where it failed. Until a photo has
// arrived it waits in the browser's own database, so that a reload or a lost connection costs nothing.
(() => {
  const form = document.getElementById("send");
  const maxBytes = Number(form.dataset.maxBytes);
  const waits = [2000, 5000, 15000, 60000];
  let underWay = 0;

  const store = {
    open() {
      return new Promise((resolve) => {
        if (!window.indexedDB) return resolve(null);
        const asked = indexedDB.open("fruitbody", 1);
        asked.onupgradeneeded = () => asked.result.createObjectStore("waiting", { keyPath: "id" });
        asked.onsuccess = () => resolve(asked.result);
        asked.onerror = () => resolve(null);
      });
    },
    async run(mode, work) {
      const database = await this.open();
      if (!database) return null;
      return new Promise((resolve) => {
        const request = work(database.transaction("waiting", mode).objectStore("waiting"));
        request.onsuccess = () => resolve(request.result);
        request.onerror = () => resolve(null);
      });
    },
    put: (item) => store.run("readwrite", (s) => s.put(item)),
    drop: (id) => store.run("readwrite", (s) => s.delete(id)),
    all: async () => (await store.run("readonly", (s) => s.getAll())) || [],
  };

  const key = () => form.elements["form_key"].value;
  const sectionOf = (prefix) => form.querySelector(`section.kind[data-kind="${prefix}"]`);

  function shotsOf(prefix, view) {
    const section = sectionOf(prefix);
    if (!section) return null;
    return section.querySelector(`.slot[data-view="${view}"] .shots, ul.shots[data-view="${view}"]`);
  }

  function remember(prefix, change) {
    const field = form.elements[`${prefix}-photos`];
    const ids = new Set(field.value.split(",").filter(Boolean));
    change(ids);
    field.value = [...ids].join(",");
    field.dispatchEvent(new Event("input", { bubbles: true }));
  }

  function show(prefix, view, id, url) {
    const shots = shotsOf(prefix, view);
    if (!shots || shots.querySelector(`[data-photo="${id}"]`)) return;
    const item = document.createElement("li");
    item.dataset.photo = id;
    const image = document.createElement("img");
    image.src = url;
    image.alt = shots.closest(".slot")?.querySelector("label").textContent || "Drawing";
    item.append(image);
    shots.append(item);
    dress(item, prefix);
  }

  function dress(item, prefix) {
    const away = document.createElement("button");
    away.type = "button";
    away.className = "quiet";
    away.textContent = "Take away";
    away.setAttribute("aria-label", `Take away: ${item.querySelector("img").alt}`);
    away.addEventListener("click", () => {
      const id = item.dataset.photo;
      remember(prefix, (ids) => ids.delete(id));
      item.remove();
      const words = new FormData();
      words.append("csrfmiddlewaretoken", form.elements["csrfmiddlewaretoken"].value);
      fetch(`${form.dataset.photoUrl}/${key()}/${id}/drop`, { method: "POST", body: words }).catch(() => {});
    });
    item.append(away);
  }

  function waitingItem(shots, name) {
    const item = document.createElement("li");
    item.className = "waiting";
    const words = document.createElement("span");
    words.setAttribute("role", "status");
    words.textContent = name;
    const bar = document.createElement("progress");
    bar.max = 1;
    bar.value = 0;
    bar.setAttribute("aria-label", name);
    item.append(words, bar);
    shots.append(item);
    return { item, words, bar };
  }

  function refuse(shown, sentence) {
    shown.words.textContent = sentence;
    shown.words.className = "error";
    shown.bar.remove();
    const off = document.createElement("button");
    off.type = "button";
    off.className = "quiet";
    off.textContent = "Close";
    off.addEventListener("click", () => shown.item.remove());
    shown.item.append(off);
  }

  function finished() {
    underWay -= 1;
    if (underWay === 0) form.dispatchEvent(new CustomEvent("photos:idle"));
  }

  function once(entry, bar) {
    return new Promise((resolve, reject) => {
      const request = new XMLHttpRequest();
      const parts = new FormData();
      parts.append("csrfmiddlewaretoken", form.elements["csrfmiddlewaretoken"].value);
      parts.append("form_key", entry.key);
      parts.append("view", entry.view);
      if (form.elements["consent_place"].checked) parts.append("consent_place", "on");
      parts.append("photo", entry.blob, entry.name);
      request.upload.addEventListener("progress", (event) => {
        if (event.lengthComputable) bar.value = event.loaded / event.total;
      });
      request.addEventListener("load", () => {
        let answer = {};
        try { answer = JSON.parse(request.responseText); } catch { /* not ours: tried again below */ }
        if (request.status === 200 && answer.id) resolve(answer);
        else if (answer.error) resolve({ error: answer.error });
        else reject(new Error(String(request.status)));
      });
      request.addEventListener("error", () => reject(new Error("connection")));
      request.open("POST", form.dataset.photoUrl);
      request.send(parts);
    });
  }

  // Wait, but no longer than until the connection is back.
  const pause = (ms) => new Promise((resolve) => {
    const timer = setTimeout(done, ms);
    function done() {
      clearTimeout(timer);
      window.removeEventListener("online", done);
      resolve();
    }
    window.addEventListener("online", done);
  });

  async function upload(entry) {
    const shots = shotsOf(entry.prefix, entry.view);
    if (!shots) return;
    const shown = waitingItem(shots, entry.name);
    underWay += 1;
    for (let attempt = 0; ; attempt += 1) {
      try {
        const answer = await once(entry, shown.bar);
        await store.drop(entry.id);
        if (answer.error) refuse(shown, `${entry.name}: ${answer.error}`);
        else {
          shown.item.remove();
          show(entry.prefix, entry.view, String(answer.id), answer.url);
          remember(entry.prefix, (ids) => ids.add(String(answer.id)));
        }
        break;
      } catch {
        shown.words.textContent = `${entry.name}: no connection; the photo is kept here and goes again by itself.`;
        await pause(waits[Math.min(attempt, waits.length - 1)]);
      }
    }
    finished();
  }

  async function take(prefix, view, blob, name) {
    if (blob.size > maxBytes) {
      refuse(waitingItem(shotsOf(prefix, view), name), `${name}: larger than 25 MB. Send a smaller copy of the photo.`);
      return;
    }
    const random = Math.random().toString(36).slice(2);
    const entry = { id: `${Date.now()}-${random}`, key: key(), prefix, view, blob, name };
    await store.put(entry);
    upload(entry);
  }

  form.addEventListener("change", (event) => {
    const input = event.target;
    if (input.type !== "file" || !input.files.length) return;
    const prefix = input.closest("section.kind").dataset.kind;
    for (const file of input.files) take(prefix, input.closest(".slot").dataset.view, file, file.name);
    input.value = ""; // it goes by itself; the form need not carry it a second time
  });
  form.addEventListener("drawing:kept", (event) => take(event.detail.prefix, "drawing", event.detail.blob, "drawing.png"));

  // After a reload: pictures that have arrived are shown again, those that have not go again.
  form.addEventListener("draft:restored", async (event) => {
    for (const [id, [prefix, view]] of Object.entries(event.detail.views || {})) {
      if ((form.elements[`${prefix}-photos`]?.value || "").split(",").includes(id))
        show(prefix, view, id, `${form.dataset.photoUrl}/${key()}/${id}/`);
    }
    for (const entry of await store.all()) {
      if (entry.key === key()) upload(entry);
      else await store.drop(entry.id);
    }
  });
  for (const item of form.querySelectorAll(".shots [data-photo]")) dress(item, item.closest("section.kind").dataset.kind);

  form.photosUnderWay = () => underWay;
})();
