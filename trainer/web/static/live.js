// A form marked data-live answers as its fields change: the same page is asked for, and the parts that it
// shares with this one are put in place. Without script the form's button does the same.
"use strict";

(() => {
  let asked = 0;

  async function renew(form) {
    const turn = ++asked;
    const fields = new FormData(form);
    const sends = form.method === "post";
    const address = sends ? form.action : form.action + "?" + new URLSearchParams(fields);
    const answer = await fetch(address, {
      headers: { Accept: "text/html" },
      ...(sends ? { method: "POST", body: fields } : {}),
    });
    const page = new DOMParser().parseFromString(await answer.text(), "text/html");
    if (turn !== asked) return;
    for (const part of document.querySelectorAll("[data-live-part]")) {
      const fresh = page.querySelector(`[data-live-part="${part.dataset.livePart}"]`);
      if (fresh) part.replaceWith(fresh);
    }
    if (!sends) history.replaceState(null, "", address);
  }

  document.addEventListener("change", (event) => {
    const form = event.target.closest("form[data-live]");
    if (!form) return;
    if (event.target.dataset.liveReload !== undefined) form.requestSubmit();
    else renew(form).catch(() => form.requestSubmit());
  });
})();
