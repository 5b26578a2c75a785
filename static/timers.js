// Timers: when one of the strip ends (countdown.js sends "cured"), this tablet calls out: a sound, "● J-1003 A is cured" in the
// tab's title until somebody touches the tablet, and a flash of ink and paper. Once a tablet: what was called is kept in
// localStorage under the timer's key, so that a reload, another page or a new start of the server does not call it again.
// The strip and the title block are asked for anew after each act, besides every ten seconds; what comes waits while a finger
// is near, where it would move or change a thing that is being hit.
"use strict";
(() => {
  const KEPT = "timers called";
  const LATE = 15 * 60 * 1000;  // what ended longer ago is no news
  const FORGET = 24 * 60 * 60 * 1000;
  const LASTS = 6000;
  const TOUCHED = 2000;         // so long a finger is near after it was seen
  const root = document.documentElement;
  const title = document.title;
  const calling = [];
  let touchedAt = -TOUCHED;
  let isFootTouched = false;
  let asking = 0;

  const called = () => {
    try { return JSON.parse(localStorage.getItem(KEPT)) || {}; } catch { return {}; }
  };

  // True the first time that this tablet asks for a key.
  const isNew = (key) => {
    const known = called();
    if (key in known) return false;
    const kept = Object.entries(known).filter(([, at]) => Date.now() - at < FORGET);
    try { localStorage.setItem(KEPT, JSON.stringify(Object.fromEntries([...kept, [key, Date.now()]]))); } catch { /* full, or forbidden */ }
    return true;
  };

  const sound = () => document.dispatchEvent(new CustomEvent("sound", { detail: { value: "called" } }));

  const call = (says) => {
    calling.push(says);
    document.title = `● ${calling[0]}${calling.length > 1 ? ` and ${calling.length - 1} more` : ""}`;
    if (calling.length === 1) {
      // A browser lets no page sound before its first touch: then the sound comes with that.
      if (navigator.userActivation?.hasBeenActive === false) document.addEventListener("pointerup", sound, { once: true });
      else sound();
      root.classList.add("is-called");
      setTimeout(() => root.classList.remove("is-called"), LASTS);
    }
  };

  const touched = (event) => {
    touchedAt = performance.now();
    isFootTouched = Boolean(event.target.closest?.("#timers, #title-block"));
  };

  const heard = () => {
    if (!calling.length) return;
    calling.length = 0;
    document.title = title;
  };

  document.addEventListener("cured", (event) => {
    const timer = event.target.closest?.("[data-timer]");
    if (timer && event.detail.late < LATE && isNew(timer.dataset.timer)) call(timer.dataset.says);
  });

  // One question at a time: an act's takes the place of one that waits.
  const askIn = (ms) => {
    clearTimeout(asking);
    asking = setTimeout(() => document.getElementById("timers")?.dispatchEvent(new CustomEvent("acted")), ms);
  };

  for (const kind of ["pointerdown", "pointerup", "keydown"]) document.addEventListener(kind, touched, true);
  document.addEventListener("pointerdown", heard, true);
  document.addEventListener("keydown", heard, true);
  document.addEventListener("htmx:after:request", ({ detail: { ctx } }) => {
    if (ctx.request.method !== "GET" && ctx.response) askIn(0);
  });
  document.addEventListener("htmx:before:swap", (event) => {
    const { text } = event.detail.ctx;
    if (event.target.id !== "timers" || !text?.includes('id="timers"')) return;
    const left = touchedAt + TOUCHED - performance.now();
    const hasHeight = event.target.querySelector(".timer") !== null;
    if (left <= 0 || (hasHeight === text.includes("data-timer=") && !isFootTouched)) return;
    event.preventDefault();
    askIn(left + 50);
  });
})();
