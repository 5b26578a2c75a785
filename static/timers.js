// Timers: when one of the strip ends (countdown.js sends "cured"), this tablet calls out: a sound, "● J-1003 A is cured" in the
// tab's title until somebody touches the tablet, and a flash of ink and paper. Once a tablet: what was called is kept in
// localStorage under the timer's key, so that a reload, another page or a new start of the server does not call it again.
"use strict";
(() => {
  const KEPT = "timers called";
  const LATE = 15 * 60 * 1000;  // what ended longer ago is no news
  const FORGET = 24 * 60 * 60 * 1000;
  const LASTS = 6000;
  const TOUCHED = 2000;         // the strip does not grow or shrink under a finger
  const root = document.documentElement;
  const title = document.title;
  const calling = [];
  let touchedAt = 0;

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

  const heard = () => {
    touchedAt = Date.now();
    if (!calling.length) return;
    calling.length = 0;
    document.title = title;
  };

  document.addEventListener("cured", (event) => {
    const timer = event.target.closest?.("[data-timer]");
    if (timer && event.detail.late < LATE && isNew(timer.dataset.timer)) call(timer.dataset.says);
  });
  document.addEventListener("pointerdown", heard, true);
  document.addEventListener("keydown", heard, true);
  document.addEventListener("htmx:before:request", (event) => {
    if (event.target.id === "timers" && Date.now() - touchedAt < TOUCHED) event.preventDefault();
  });
})();
