// Scan: the field with data-scan keeps the focus, so that a scanner that types can be used without a tap, and is
// emptied once its code is on the way. Give its form hx-sync="this:queue all": scans come faster than answers.
"use strict";
(() => {
  const field = () => document.querySelector("[data-scan]");

  // Somebody typing elsewhere, or choosing in a list, keeps the focus; so does who goes about by the Tab key.
  const BUSY = "input:not([type=radio], [type=checkbox]), select, textarea, :focus-visible";
  const isBusyElsewhere = () => document.activeElement?.matches(BUSY);

  const takeFocus = () => {
    if (field() && !isBusyElsewhere()) field().focus({ preventScroll: true });
  };

  document.addEventListener("DOMContentLoaded", takeFocus);
  document.addEventListener("htmx:after:swap", takeFocus);
  document.addEventListener("focusout", () => setTimeout(takeFocus, 150));

  document.addEventListener("htmx:config:request", (event) => {
    const { ctx } = event.detail;
    const scanned = ctx.sourceElement.querySelector?.("[data-scan]");
    if (!scanned || ctx.request.method === "GET") return;
    ctx.scanned = scanned.value;
    scanned.value = "";
  });

  // No answer: the code comes back into the field, unless the next one is there already.
  document.addEventListener("htmx:error", (event) => {
    const { ctx } = event.detail;
    if (ctx?.scanned && !ctx.response && field() && !field().value) field().value = ctx.scanned;
  });
})();
