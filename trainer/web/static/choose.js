// Choosing at the device: a place of the drawing opens what is to be decided or answered there beside it, and the
// drawing shows what was chosen. The fields are those of the form below, moved and put back; without script the links
// of the drawing lead to them, and a button of the form shows the choices in the drawing. What was chosen is sent as it
// is chosen, so that another device finds it.
"use strict";

(() => {
  const form = document.getElementById("decisions");
  const drawn = document.getElementById("drawn");
  const template = document.getElementById("options");
  if (!form || !drawn || !template) return;

  const KEPT_AFTER_MS = 600;
  const place = drawn.closest(".workplace");
  const decisions = [...form.querySelectorAll("[data-places]")];
  const isAsked = "asked" in form.dataset;
  const total = document.getElementById("count");
  const elsewhere = document.getElementById("held-elsewhere");
  let panel = null;
  let at = null;
  let shownFor = null;
  let asked = 0;

  const link = (path) => drawn.querySelector(`a[data-place="${CSS.escape(path)}"]`);
  const about = (path) => decisions.filter((each) => each.dataset.places.split(" ").includes(path));
  const isMade = (decision) => {
    const select = decision.querySelector("select[name^='choice-']");
    if (!select) return decision.querySelector("input:checked") !== null;
    return select.value !== "" && select.value !== decision.dataset.usual;
  };

  function close({ focus = true } = {}) {
    if (!panel) return;
    for (const field of [...panel.querySelectorAll("[data-places]")]) field.standIn.replaceWith(field);
    panel.remove();
    panel = null;
    const former = link(at);
    if (former) {
      former.classList.remove("is-open");
      if (focus) former.focus({ preventScroll: true });
    }
    at = null;
    shownFor = null;
  }

  function open(path) {
    const fields = about(path);
    if (fields.length === 0) return false;
    close({ focus: false });
    at = path;
    panel = template.content.cloneNode(true).firstElementChild;
    panel.querySelector("h3").textContent = fields[0].dataset.group;
    for (const field of fields) {
      field.standIn = elsewhere.content.cloneNode(true).firstElementChild;
      field.replaceWith(field.standIn);
      panel.querySelector("[data-held]").append(field);
    }
    place.append(panel);
    settle();
    count();
    (panel.querySelector("input:checked") || panel.querySelector("input, select")).focus({ preventScroll: true });
    panel.scrollIntoView({ block: "nearest", inline: "nearest" });
    return true;
  }

  // Beside the device where there is room on its right or left, else below it over the whole width.
  function settle() {
    const device = link(at);
    if (!panel || !device) return;
    device.classList.add("is-open");
    reveal(device);
    const box = device.getBoundingClientRect();
    const frame = place.getBoundingClientRect();
    const width = panel.offsetWidth;
    const right = box.right - frame.left + 12;
    const left = box.left - frame.left - width - 12;
    const isNarrow = width > frame.width * 0.7;
    const isBeside = !isNarrow && (right + width <= frame.width || left >= 0);
    const x = isNarrow ? 0 : right + width <= frame.width ? right : left >= 0 ? left : frame.width - width;
    panel.style.left = `${Math.max(0, x)}px`;
    panel.style.top = `${isBeside ? Math.max(0, box.top - frame.top - 8) : box.bottom - frame.top + 8}px`;
  }

  // A wide drawing scrolls in its frame on a phone: the device must not lie outside while its options are open.
  function reveal(device) {
    if (at === shownFor) return;
    shownFor = at;
    const box = device.getBoundingClientRect();
    const frame = drawn.getBoundingClientRect();
    if (box.left < frame.left || box.right > frame.right) drawn.scrollLeft += box.left - frame.left - 16;
  }

  const told = (words, made, all) => words.replace("{made}", made).replace("{all}", all);

  function count() {
    const made = decisions.filter(isMade).length;
    if (total) total.textContent = told(total.dataset.words, made, decisions.length);
    for (const group of form.querySelectorAll("details.group")) {
      const held = decisions.filter((each) => each.dataset.group === group.dataset.group);
      const line = group.querySelector("[data-made]");
      line.textContent = told(total.dataset.words, held.filter(isMade).length, held.length);
    }
    if (!panel) return;
    const status = panel.querySelector("[data-count]");
    status.textContent = told(status.dataset.words, made, decisions.length);
    panel.querySelector("[data-next]").hidden = made === decisions.length;
  }

  function next() {
    const here = decisions.indexOf(panel.querySelector("[data-places]"));
    const order = [...decisions.slice(here + 1), ...decisions.slice(0, here + 1)];
    const following = order.find((each) => !isMade(each) && !(isAsked && panel.contains(each)));
    if (!following) return close();
    const path = following.dataset.places.split(" ").find((each) => link(each));
    if (path) return open(path);
    close({ focus: false });
    show(following);
    following.querySelector("input, select").focus();
  }

  // What lies in a folded group, or on the other side of a narrow page, is brought into sight.
  function show(field) {
    const group = field.closest("details");
    if (group) group.open = true;
    const side = document.getElementById("side-decisions");
    if (side) side.checked = true;
    field.scrollIntoView({ block: "center" });
  }

  let waiting = 0;
  function keep() {
    clearTimeout(waiting);
    waiting = setTimeout(() => {
      const data = new FormData(form);
      data.set("show", "kept");
      fetch(form.getAttribute("action"), { method: "POST", body: data, headers: { "X-Part": "kept" } }).catch(() => {});
    }, KEPT_AFTER_MS);
  }

  async function redraw() {
    const turn = ++asked;
    const data = new FormData(form);
    data.set("show", "drawing");
    const answer = await fetch(form.getAttribute("action"), { method: "POST", body: data });
    if (!answer.ok) return;
    const page = new DOMParser().parseFromString(await answer.text(), "text/html");
    if (turn !== asked) return;
    const focused = document.activeElement.closest("#drawn a");
    for (const id of ["drawn", "drawn-in-words"]) {
      const [old, fresh] = [document.getElementById(id), page.getElementById(id)];
      if (old && fresh) old.replaceChildren(...fresh.childNodes);
    }
    if (focused) link(focused.dataset.place)?.focus({ preventScroll: true });
    settle();
  }

  drawn.addEventListener("click", (event) => {
    const asked = event.target.closest("a[data-place]");
    if (asked && open(asked.dataset.place)) event.preventDefault();
  });
  document.addEventListener("click", (event) => {
    if (!panel) return;
    if (event.target.closest("[data-close]")) close();
    else if (event.target.closest("[data-next]")) next();
    else if (!panel.contains(event.target) && !drawn.contains(event.target)) close({ focus: false });
  });
  document.addEventListener("keydown", (event) => {
    if (event.key === "Escape" && panel) close();
  });
  document.addEventListener("change", (event) => {
    if (event.target.form !== form) return;
    count();
    if (!isAsked && event.target.type === "radio") redraw().catch(() => {});
    else if ("keeps" in form.dataset) keep();
  });
  form.addEventListener("submit", () => {
    // What is handed in is no draft any more.
    clearTimeout(waiting);
    close({ focus: false });
  });
  drawn.addEventListener("scroll", settle, { passive: true });
  window.addEventListener("resize", settle);

  const unfold = form.querySelector("[data-unfold]");
  if (unfold) {
    unfold.hidden = false;
    unfold.addEventListener("click", (event) => {
      const all = event.target.dataset.all;
      if (all === undefined) return;
      for (const group of form.querySelectorAll("details.group")) group.open = all === "open";
    });
  }
  window.addEventListener("hashchange", () => {
    const to = document.getElementById(decodeURIComponent(location.hash.slice(1)));
    if (to && decisions.includes(to)) show(to);
  });
})();
