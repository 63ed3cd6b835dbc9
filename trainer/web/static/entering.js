// Saves a copied paper as it changes; without script the button does.
"use strict";

(() => {
  const AFTER_MS = 1500;
  const form = document.getElementById("entry");
  const told = document.getElementById("saved");
  if (!form || !told) return;
  let timer = 0;
  let sending = Promise.resolve();
  let going = 0;

  async function save() {
    const sent = new URLSearchParams(new FormData(form));
    sent.set("do", "save");
    const answer = await fetch(form.action, { method: "POST", body: sent });
    const page = new DOMParser().parseFromString(await answer.text(), "text/html");
    const revision = page.getElementById("revision");
    if (!answer.ok || !revision) throw new Error("refused");
    document.getElementById("revision").value = revision.value;
    const time = new Date().toLocaleTimeString([], { hour: "2-digit", minute: "2-digit" });
    told.textContent = told.dataset.saved.replace("{time}", time);
  }

  function soon() {
    clearTimeout(timer);
    timer = setTimeout(() => {
      // One after the other: each carries the revision that the one before it made.
      going += 1;
      sending = sending
        .then(save)
        .catch(() => {
          told.textContent = told.dataset.failed;
        })
        .finally(() => {
          going -= 1;
        });
    }, AFTER_MS);
  }

  form.addEventListener("input", soon);
  form.addEventListener("submit", (event) => {
    clearTimeout(timer);
    if (!going) return;
    // What is being saved now makes another revision: sent before it, this would look like somebody else's.
    event.preventDefault();
    const button = event.submitter;
    sending.then(() => form.requestSubmit(button));
  });
})();
