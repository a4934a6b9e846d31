// The paragraph drawer: a press puts its text at the end of the answer. Without scripts the text stands there to be copied.
"use strict";
document.addEventListener("click", (event) => {
  const button = event.target.closest("[data-paragraph]");
  const answer = document.getElementById("id_answer");
  if (!button || !answer) return;
  answer.value = [answer.value.trim(), button.dataset.paragraph].filter(Boolean).join("\n\n");
  answer.focus();
  answer.scrollTop = answer.scrollHeight;
});
