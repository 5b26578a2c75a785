// Countdown: an element with data-until (ISO, UTC) shows the time left as '27 h 35 min', under a minute as '40 s'. When none is
// left it shows data-done (or "done"), gets the class "done" and sends the event "cured" (detail.late: ms since then), for
// hx-trigger to use.
// data-now (ISO, UTC: the server's clock when the page was made) makes up for a tablet whose clock is wrong.
"use strict";
(() => {
  const seen = new WeakMap();

  // How far this tablet's clock is ahead of the server's, found when the element is first met.
  const ahead = (element) => {
    const now = element.dataset.now;
    if (!now) return 0;
    const known = seen.get(element);
    if (known?.now === now) return known.ms;
    const ms = Date.now() - Date.parse(now);
    seen.set(element, { now, ms });
    return ms;
  };

  const words = (ms) => {
    if (ms < 60000) return `${Math.ceil(ms / 1000)} s`;
    const minutes = Math.ceil(ms / 60000);
    if (minutes < 60) return `${minutes} min`;
    return `${Math.floor(minutes / 60)} h ${String(minutes % 60).padStart(2, "0")} min`;
  };

  const show = (element) => {
    const left = Date.parse(element.dataset.until) - (Date.now() - ahead(element));
    const text = left > 0 ? words(left) : element.dataset.done || "done";
    if (element.textContent !== text) element.textContent = text;
    if (left <= 0 && !element.classList.contains("done")) {
      element.classList.add("done");
      element.dispatchEvent(new CustomEvent("cured", { bubbles: true, detail: { late: -left } }));
    }
  };

  const showAll = () => document.querySelectorAll("[data-until]").forEach(show);
  setInterval(showAll, 1000);
  document.addEventListener("DOMContentLoaded", showAll);
  document.addEventListener("htmx:after:swap", showAll);
})();
