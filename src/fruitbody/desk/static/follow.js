// After the form has arrived the draft goes; photos added later show that they are on their way; the sheet can be printed.
if (document.getElementById("just-sent")) {
  localStorage.removeItem("fruitbody.send");
  if (window.indexedDB) indexedDB.deleteDatabase("fruitbody");
  history.replaceState(null, "", location.pathname);
}

const print = document.getElementById("print");
if (print) {
  print.hidden = false;
  print.addEventListener("click", () => window.print());
}

const more = document.getElementById("more-photos");
if (more) {
  more.addEventListener("submit", (event) => {
    event.preventDefault();
    const words = document.getElementById("upload-words");
    const request = new XMLHttpRequest();
    const tryAgain = () => { words.textContent = "No connection; the photo is still chosen. Try again."; };
    request.upload.addEventListener("progress", (e) => {
      if (e.lengthComputable) words.textContent = `${Math.round((100 * e.loaded) / e.total)} %`;
    });
    request.addEventListener("load", () => {
      let answer = {};
      try { answer = JSON.parse(request.responseText); } catch { /* the sentence below */ }
      if (request.status === 200) location.reload();
      else if (answer.error) words.textContent = answer.error;
      else tryAgain();
    });
    request.addEventListener("error", tryAgain);
    request.open("POST", more.action);
    request.setRequestHeader("Accept", "application/json");
    request.send(new FormData(more));
  });
}
