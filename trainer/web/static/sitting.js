// A sitting: every change is sent at once and called saved only when the server says that it is durable; what could
// not be sent is tried again, later and later. The time left is the server's, kept going by a clock that nobody sets.
// Without script each page has a button to save, and shows the time when it was loaded.
"use strict";

(() => {
  const WAITS_S = [1, 2, 4, 8, 15, 30];
  const TYPING_MS = 500;
  const RENEW_MS = 5000;

  const clockTime = (moment) => moment.toLocaleTimeString(document.documentElement.lang, { hour: "2-digit", minute: "2-digit", hourCycle: "h23" });
  for (const each of document.querySelectorAll("time[data-clock-time]")) {
    each.textContent = clockTime(new Date(each.dateTime));
  }
  for (const each of document.querySelectorAll(".moment[data-own]")) {
    const at = new Date(each.querySelector("time").dateTime);
    if (at.getTimezoneOffset()) {
      const own = at.toLocaleString(document.documentElement.lang, { day: "numeric", month: "short", hour: "2-digit", minute: "2-digit", hourCycle: "h23" });
      each.append(` (${each.dataset.own.replace("{at}", own)})`);
    }
  }

  const clock = running(document.getElementById("time-left"), document.getElementById("time-warning"));
  const form = document.querySelector("form[data-save]");
  const saver = form ? saving(form, document.getElementById("save-state")) : null;

  // ---- saving

  function saving(form, told) {
    const base = Number(form.elements.base.value);
    let sequence = base;
    let dirty = false;
    let sending = false;
    let stopped = false;
    let leaving = false;
    let held = false;
    let answered = false;
    let failures = 0;
    let timer = null;

    const tell = (words, isWrong) => {
      if (told.textContent !== words) told.textContent = words;
      told.classList.toggle("is-wrong", isWrong);
    };

    function changed(wait) {
      if (stopped) return;
      dirty = true;
      held = false;
      clearTimeout(timer);
      timer = setTimeout(send, wait);
    }

    // Only what stands there now is sent: an earlier state that never went out is no loss.
    async function send() {
      clearTimeout(timer);
      if (sending || stopped || !dirty) return;
      sending = true;
      dirty = false;
      if (failures === 0) tell(told.dataset.waiting, false);
      sequence += 1;
      form.elements.sequence.value = String(sequence);
      const body = new FormData(form);
      // The button's save is one further than the last that was sent, also while that one is on its way.
      form.elements.sequence.value = String(sequence + 1);
      try {
        await took(await fetch(form.dataset.save, { method: "POST", body, redirect: "manual", keepalive: true }));
      } catch {
        again();
      }
      sending = false;
      if (dirty && !held && failures === 0) send();
    }

    async function took(answer) {
      if (answer.type === "opaqueredirect") return signedOut();
      if (answer.status >= 500 || answer.status === 429) return again();
      const isTold = (answer.headers.get("Content-Type") || "").includes("json");
      if (!isTold) return refusedAsAWhole();
      const said = await answer.json();
      if (said.left_s !== null && clock) clock.set(said.left_s);
      const words = said.saved_at ? said.words.replace(/\d\d:\d\d/, clockTime(new Date(said.saved_at))) : said.words;
      if (said.state === "saved" || said.state === "late") {
        failures = 0;
        if (!dirty) tell(words, false);
        return;
      }
      stopped = said.state !== "paused";
      document.getElementById("load-again").hidden = said.state !== "older";
      refused(words);
    }

    // Whoever signs in again, in another window, has another token against other sites: it is fetched with the page.
    function signedOut() {
      refused(told.dataset.signedOut);
      clearTimeout(timer);
      timer = setTimeout(renew, RENEW_MS);
    }

    function refusedAsAWhole() {
      refused(told.dataset.refused);
      clearTimeout(timer);
      timer = setTimeout(renew, TYPING_MS);
    }

    async function renew() {
      try {
        const answer = await fetch(location.href, { redirect: "manual" });
        if (!answer.ok) return signedOut();
        const page = new DOMParser().parseFromString(await answer.text(), "text/html");
        form.elements.csrf_token.value = page.querySelector("#decisions [name=csrf_token]").value;
      } catch {
        return again();
      }
      again();
    }

    function again() {
      dirty = true;
      const wait = WAITS_S[Math.min(failures, WAITS_S.length - 1)];
      failures += 1;
      tell(told.dataset.again, true);
      clearTimeout(timer);
      timer = setTimeout(send, wait * 1000);
    }

    // It stays unsaved and is not sent by itself again, but for what the callers plan.
    function refused(words) {
      dirty = !stopped;
      held = true;
      tell(words, true);
    }

    document.addEventListener("change", (event) => {
      if (event.target.form === form) changed(0);
    });
    document.addEventListener("input", (event) => {
      if (event.target.form === form && event.target.type === "text") changed(TYPING_MS);
    });
    window.addEventListener("online", () => {
      if (dirty) send();
    });
    // Where no answer came, the browser would put its own page in place of the answers: the server is asked for first.
    async function reach(button) {
      try {
        await fetch(location.href, { method: "HEAD", redirect: "manual" });
      } catch {
        return again();
      }
      answered = true;
      form.requestSubmit(button);
    }

    form.addEventListener("submit", (event) => {
      if (!answered && (failures > 0 || !navigator.onLine)) {
        event.preventDefault();
        reach(event.submitter);
        return;
      }
      dirty = false;
      leaving = true;
      clearTimeout(timer);
    });
    window.addEventListener("pagehide", () => send());
    window.addEventListener("beforeunload", (event) => {
      if (!leaving && (dirty || sending)) event.preventDefault();
    });
    return { send };
  }

  // ---- time

  function running(shown, warned) {
    if (!shown) return null;
    const warnings = shown.dataset.warn.split(" ").map(Number);
    const poll = 60;
    let end = performance.now() + Number(shown.dataset.leftS) * 1000;
    let last = Number(shown.dataset.leftS);
    let asked = performance.now();
    let isOver = false;
    document.getElementById("time-note").remove();

    const left = () => Math.max(0, Math.ceil((end - performance.now()) / 1000));

    function tick() {
      const now = left();
      shown.textContent = `${Math.floor(now / 60)}:${String(now % 60).padStart(2, "0")}`;
      // Of warnings that passed while the device slept the latest counts.
      const passed = warnings.filter((each) => last > each && now <= each);
      if (passed.length && now > 0) warned.textContent = attribute(Math.min(...passed));
      last = now;
      if (now === 0 && !isOver) over();
      if ((performance.now() - asked) / 1000 > poll) ask();
    }

    const attribute = (seconds) => shown.getAttribute(`data-warn-${seconds}`);

    function over() {
      isOver = true;
      warned.textContent = attribute(0);
      if (saver) saver.send();
      // After the grace the server has ended the sitting and says so.
      setTimeout(() => location.assign(shown.dataset.over), 32_000);
    }

    async function ask() {
      asked = performance.now();
      try {
        const answer = await fetch(shown.dataset.clock, { redirect: "manual" });
        const said = await answer.json();
        if (said.left_s !== null) set(said.left_s);
      } catch {
        // Without an answer the page's own clock goes on.
      }
    }

    function set(seconds) {
      end = performance.now() + seconds * 1000;
    }

    setInterval(tick, 1000);
    return { set };
  }
})();
