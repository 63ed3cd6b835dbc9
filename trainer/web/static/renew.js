// While a job is going its part of the page is asked for again; without script a link does the same.
"use strict";

(() => {
  const EVERY_MS = 2000;

  async function renew() {
    const answer = await fetch(location.href, { headers: { Accept: "text/html" } });
    if (!answer.ok) return;
    const page = new DOMParser().parseFromString(await answer.text(), "text/html");
    for (const old of document.querySelectorAll("[data-going][id]")) {
      const fresh = page.getElementById(old.id);
      // Nothing is replaced below somebody's hands; what is over may have no place on the page any more.
      if (old.contains(document.activeElement)) continue;
      if (fresh) old.replaceWith(fresh);
      else old.remove();
    }
  }

  setInterval(() => {
    if (document.querySelector("[data-going][id]") && !document.hidden) renew().catch(() => {});
  }, EVERY_MS);
})();
