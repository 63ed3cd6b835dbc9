// The papers: search while typing, and marks without loading the page anew. Without script both are plain forms; in a
// sitting, which keeps nothing but answers, both are there with script only and marks stay in the window.
"use strict";

(() => {
  const form = document.getElementById("decisions");
  const papers = document.getElementById("papers");
  const seek = document.getElementById("seek");
  if (!form || !papers || !seek) return;
  seek.hidden = false;

  const MOST = 12;
  const LONGEST = 80;
  const count = document.getElementById("found-count");
  const list = document.getElementById("found");
  const cells = (line) => [...line.querySelectorAll(":scope > th, :scope > td:not(.pins), :scope > div > span")];
  const lines = [...papers.querySelectorAll(".line")].map((line) => {
    const held = cells(line);
    const words = [line.dataset.name || "", ...held.map((cell) => cell.textContent)].join(" ");
    return { line, held, words: words.toLowerCase() };
  });
  const titled = (line) => line.closest(".paper").querySelector("h3").textContent;
  const named = (line) => line.dataset.name || line.querySelector("th")?.textContent || line.dataset.note;

  function wordsOf(text) {
    const found = [...new Set(text.toLowerCase().slice(0, LONGEST).split(/\s+/).filter(Boolean))];
    return found.sort((one, other) => other.length - one.length);
  }

  // The text of a cell with every hit in a mark of its own.
  function marked(text, pattern) {
    const made = document.createDocumentFragment();
    let end = 0;
    for (const hit of text.matchAll(pattern)) {
      const mark = document.createElement("mark");
      mark.textContent = hit[0];
      made.append(text.slice(end, hit.index), mark);
      end = hit.index + hit[0].length;
    }
    made.append(text.slice(end));
    return made;
  }

  function entry(line) {
    const item = document.createElement("li");
    const link = document.createElement("a");
    const paper = document.createElement("span");
    link.href = `#${line.id}`;
    link.textContent = named(line);
    paper.className = "soft small";
    paper.textContent = titled(line);
    item.append(link, " ", paper);
    return item;
  }

  function search() {
    const words = wordsOf(seek.elements.find.value);
    const pattern = words.length && new RegExp(words.map((word) => word.replace(/[.*+?^${}()|[\]\\]/g, "\\$&")).join("|"), "gi");
    const found = words.length ? lines.filter((each) => words.every((word) => each.words.includes(word))) : [];
    for (const { held } of lines) {
      for (const cell of held) {
        if (pattern) cell.replaceChildren(marked(cell.textContent, pattern));
        else if (cell.querySelector("mark")) cell.textContent = cell.textContent;
      }
    }
    const { none, one, many, more } = seek.dataset;
    if (!words.length) count.textContent = "";
    else count.textContent = found.length === 0 ? none : found.length === 1 ? one : many.replace("{count}", found.length);
    list.replaceChildren(...found.slice(0, MOST).map((each) => entry(each.line)));
    if (found.length > MOST) {
      const rest = document.createElement("li");
      rest.className = "soft small";
      rest.textContent = more.replace("{count}", found.length - MOST);
      list.append(rest);
    }
  }

  let waiting = 0;
  seek.addEventListener("input", () => {
    clearTimeout(waiting);
    waiting = setTimeout(search, 150);
  });
  seek.addEventListener("submit", (event) => {
    event.preventDefault();
    search();
    list.querySelector("a")?.focus();
  });

  // A mark stands only once the server has it.
  async function mark(pin) {
    const data = new FormData(form);
    data.append(pin.name, pin.value);
    const answer = await fetch(form.getAttribute("action"), { method: "POST", body: data, headers: { "X-Part": "marked" } });
    if (!answer.ok) return pin.form.requestSubmit(pin);
    const is = pin.name === "mark";
    pin.name = is ? "unmark" : "mark";
    pin.setAttribute("aria-pressed", String(is));
    pin.closest(".line").classList.toggle("is-marked", is);
    const fresh = new DOMParser().parseFromString(await answer.text(), "text/html").getElementById("marked");
    const old = document.getElementById("marked");
    if (fresh && old) old.replaceChildren(...fresh.childNodes);
  }

  papers.addEventListener("click", (event) => {
    const pin = event.target.closest(".pin[name]");
    if (!pin || pin.disabled) return;
    event.preventDefault();
    mark(pin).catch(() => pin.form.requestSubmit(pin));
  });

  // In a sitting: squares that the page does not bring along, and a list that only this window knows.
  function markHere() {
    const { markLine, markNote } = papers.dataset;
    const held = document.getElementById("marked");
    const NAME = `marked ${location.pathname}`;
    let marks = [];
    try { marks = JSON.parse(sessionStorage.getItem(NAME) || "[]"); } catch { /* a browser that keeps nothing */ }

    function show() {
      for (const { line } of lines) {
        const is = marks.includes(line.id);
        line.classList.toggle("is-marked", is);
        line.querySelector(".pin").setAttribute("aria-pressed", String(is));
      }
      const chosen = lines.filter(({ line }) => marks.includes(line.id)).map(({ line }) => entry(line));
      held.hidden = chosen.length === 0;
      held.querySelector("ul").replaceChildren(...chosen);
      try { sessionStorage.setItem(NAME, JSON.stringify(marks)); } catch { /* shown until the page is left */ }
    }

    for (const { line } of lines) {
      const pin = document.createElement("button");
      pin.type = "button";
      pin.className = "pin";
      pin.setAttribute("aria-label", line.dataset.note ? markNote.replace("{line}", line.dataset.note) : markLine.replace("{line}", named(line)));
      pin.addEventListener("click", () => {
        marks = marks.includes(line.id) ? marks.filter((each) => each !== line.id) : [...marks, line.id];
        show();
      });
      const cell = line.matches("tr") ? line.insertCell() : line.firstElementChild;
      if (line.matches("tr")) cell.className = "pins";
      cell.append(pin);
    }
    show();
  }
  if (papers.dataset.markLine) markHere();

  // On a narrow page only one side shows: a link to the other brings it up.
  function turn() {
    const to = document.getElementById(decodeURIComponent(location.hash.slice(1)));
    const side = to && document.getElementById(papers.contains(to) ? "side-papers" : form.contains(to) ? "side-decisions" : "");
    if (!side || side.checked) return;
    side.checked = true;
    to.scrollIntoView({ block: "start" });
  }
  window.addEventListener("hashchange", turn);
  document.addEventListener("click", (event) => {
    const link = event.target.closest("a[href^='#']");
    if (link && link.hash === location.hash) turn();
  });
  turn();
})();
