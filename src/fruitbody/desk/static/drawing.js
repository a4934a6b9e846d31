// A sheet to draw on: finger, pen or mouse. What is kept goes the way of the photos.
(() => {
  const form = document.getElementById("send");

  function dress(section) {
    const box = section.querySelector("details.drawing");
    const sheet = box.querySelector("canvas");
    const pen = sheet.getContext("2d");
    let drawn = false;
    let drawing = false;
    box.hidden = false;

    function clear() {
      pen.fillStyle = "#fffdf7";
      pen.fillRect(0, 0, sheet.width, sheet.height);
      drawn = false;
    }
    const at = (event) => {
      const frame = sheet.getBoundingClientRect();
      return [((event.clientX - frame.left) * sheet.width) / frame.width, ((event.clientY - frame.top) * sheet.height) / frame.height];
    };
    sheet.addEventListener("pointerdown", (event) => {
      event.preventDefault();
      sheet.setPointerCapture(event.pointerId);
      drawing = drawn = true;
      pen.strokeStyle = "#26211a";
      pen.lineWidth = 4;
      pen.lineCap = pen.lineJoin = "round";
      pen.beginPath();
      pen.moveTo(...at(event));
      pen.lineTo(...at(event));
      pen.stroke();
    });
    sheet.addEventListener("pointermove", (event) => {
      if (!drawing) return;
      pen.lineTo(...at(event));
      pen.stroke();
    });
    for (const end of ["pointerup", "pointercancel"]) sheet.addEventListener(end, () => { drawing = false; });
    box.querySelector(".clear-drawing").addEventListener("click", clear);
    box.querySelector(".keep-drawing").addEventListener("click", () => {
      if (!drawn) return;
      sheet.toBlob((blob) => {
        form.dispatchEvent(new CustomEvent("drawing:kept", { detail: { prefix: section.dataset.kind, blob } }));
        clear();
      }, "image/png");
    });
    clear();
  }

  for (const section of form.querySelectorAll("section.kind")) dress(section);
  form.addEventListener("kind:added", (event) => dress(event.target));
})();
