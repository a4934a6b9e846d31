// Every staff page: keyboard help that belongs to no single room. "/" goes to the search field, if there is one.
document.addEventListener("keydown", (event) => {
  const typing = event.target.closest("input, textarea, select, [contenteditable]");
  if (event.key !== "/" || typing || event.ctrlKey || event.metaKey || event.altKey) return;
  const search = document.querySelector("input[type=search]");
  if (!search) return;
  event.preventDefault();
  search.focus();
});

// A request that failed says so where it was made, instead of leaving the page as if nothing had been asked.
for (const name of ["htmx:responseError", "htmx:sendError", "htmx:timeout"]) {
  document.addEventListener(name, (event) => {
    const notices = document.querySelector(".notices");
    if (!notices) return;
    const words = document.createElement("p");
    words.className = "notice error";
    const answer = event.detail.xhr && event.detail.xhr.status === 403 ? "You may not do this, or you have been signed out." : "The desk did not answer.";
    words.textContent = `${answer} What you typed is still here; try again.`;
    notices.replaceChildren(words);
  });
}
