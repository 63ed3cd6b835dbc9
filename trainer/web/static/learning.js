// Single keys that lead to places of a page: off until they are switched on (WCAG 2.1.4).
(() => {
  "use strict";
  const NAME = "single-keys";
  const PLACES = {
    d: "#drawing",
    p: "#papers",
    c: "#decisions :is(input, select), #decisions",
    h: "#hand-in, #decisions button:not([name])",
    n: "[data-key=n], #next button",
  };
  const isOn = () => {
    try { return localStorage.getItem(NAME) === "on"; } catch { return false; }
  };
  const set = (on) => {
    try { localStorage.setItem(NAME, on ? "on" : "off"); } catch { /* a browser that keeps nothing */ }
  };

  const lead = (selector) => {
    const to = document.querySelector(selector);
    if (!to) return false;
    const side = to.closest("#papers") ? "side-papers" : to.closest("#decisions") ? "side-decisions" : "";
    if (side) document.getElementById(side)?.click();
    if (to.tabIndex < 0) to.setAttribute("tabindex", "-1");
    to.scrollIntoView({ block: "center" });
    to.focus({ preventScroll: true });
    return true;
  };

  document.addEventListener("keydown", (event) => {
    if (!isOn() || event.ctrlKey || event.metaKey || event.altKey || event.defaultPrevented) return;
    const at = event.target;
    const writes = at instanceof HTMLElement && (at.isContentEditable || at.matches("textarea, select, input:not([type=radio], [type=checkbox])"));
    const selector = PLACES[event.key];
    if (!writes && selector && lead(selector)) event.preventDefault();
  });

  const place = document.getElementById("switch");
  if (!place) return;
  const button = document.createElement("button");
  button.type = "button";
  button.className = "button plain";
  const tell = () => {
    button.textContent = isOn() ? place.dataset.on : place.dataset.off;
    button.setAttribute("aria-pressed", String(isOn()));
  };
  button.addEventListener("click", () => { set(!isOn()); tell(); });
  tell();
  place.replaceChildren(button);
})();
