// While something is being printed the list of prints is asked for again; without script a link does the same.
"use strict";

(() => {
  const EVERY_MS = 2000;

  async function renew() {
    const answer = await fetch(location.href, { headers: { Accept: "text/html" } });
    if (!answer.ok) return;
    const page = new DOMParser().parseFromString(await answer.text(), "text/html");
    const fresh = page.getElementById("prints");
    const old = document.getElementById("prints");
    // Nothing is replaced below somebody's hands.
    if (fresh && old && !old.contains(document.activeElement)) old.replaceWith(fresh);
  }

  setInterval(() => {
    const going = document.querySelector("#prints[data-going]");
    if (going && !document.hidden) renew().catch(() => {});
  }, EVERY_MS);
})();
