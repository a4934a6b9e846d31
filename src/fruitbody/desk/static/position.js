// The position of the phone, if the finder asks for it and lets us keep the exact place.
(() => {
  const form = document.getElementById("send");
  const button = document.getElementById("position");
  const words = document.getElementById("position-words");
  if (!navigator.geolocation) return;
  button.closest(".position").hidden = false;

  const write = (name, value) => {
    form.elements[name].value = value;
    form.elements[name].dispatchEvent(new Event("input", { bubbles: true }));
  };

  button.addEventListener("click", () => {
    if (!form.elements["consent_place"].checked) {
      words.textContent = "Tick above that we may keep the exact place; without that we do not want it.";
      return;
    }
    words.textContent = "Asking the phone …";
    navigator.geolocation.getCurrentPosition(
      ({ coords }) => {
        write("latitude", coords.latitude.toFixed(6));
        write("longitude", coords.longitude.toFixed(6));
        write("place_uncertainty_m", Math.round(coords.accuracy));
        words.textContent = `Noted, within ${Math.round(coords.accuracy)} m. Only if you stand where it grew.`;
      },
      () => { words.textContent = "The phone gives no position. Say the place in words."; },
      { enableHighAccuracy: true, timeout: 20000 },
    );
  });
})();
