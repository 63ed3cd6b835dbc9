// A form marked data-live answers as its fields change: the same page is asked for, and the parts that it
// shares with this one are put in place. Without script the form's button does the same.
"use strict";

(() => {
  let asked = 0;

  // A wide drawing scrolls in its frame: what it is about comes into sight.
  function revealFault() {
    for (const figure of document.querySelectorAll("figure.diagram")) {
      const fault = figure.querySelector("text.fault");
      if (!fault) continue;
      const over = fault.getBoundingClientRect().right - figure.getBoundingClientRect().right;
      if (over > 0) figure.scrollLeft += over + 16;
    }
  }

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

  // A number with bounds gets a slider beside it. Over a wide range the slider is finer at its lower end.
  const STEPS = 1000;
  function slide(number) {
    const [low, high] = [Number(number.min), Number(number.max)];
    const power = high - low > 200 ? 3 : 1;
    const slider = document.createElement("input");
    Object.assign(slider, { type: "range", className: "slider", min: 0, max: STEPS });
    slider.setAttribute("aria-label", number.labels[0]?.textContent ?? number.name);
    const follow = () => {
      slider.value = STEPS * ((Math.min(Math.max(Number(number.value), low), high) - low) / (high - low)) ** (1 / power);
    };
    let waiting;
    slider.addEventListener("input", () => {
      const value = low + (high - low) * (slider.value / STEPS) ** power;
      number.value = String(Math.min(high, Math.max(low, Number(value.toPrecision(3)))));
      clearTimeout(waiting);
      waiting = setTimeout(() => number.dispatchEvent(new Event("change", { bubbles: true })), 80);
    });
    slider.addEventListener("change", (event) => event.stopPropagation());
    number.addEventListener("change", follow);
    follow();
    number.after(slider);
  }
  document.querySelectorAll("form[data-live] input[type=number][min][max]").forEach(slide);

  revealFault();

  document.addEventListener("change", (event) => {
    const form = event.target.closest("form[data-live]");
    if (!form) return;
    if (event.target.dataset.liveReload !== undefined) form.requestSubmit();
    else renew(form).catch(() => form.requestSubmit());
  });
})();
