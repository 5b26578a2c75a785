// Taps: an answer to the finger within a tenth of a second, and one key for each act.
// - whatever is pressed gets the class "tapped" until its answer is there;
// - each POST carries `key`: the same act (same address, same fields but for the version that the page shows) sent again
//   before it was answered has the same key, so that the server can tell a retry from a second act. A form sent without
//   htmx gets it as a hidden input;
// - a tap beside a small piece in a drawing with data-nearest goes to the nearest piece;
// - Enter and Space press what has role="button";
// - when no answer comes, #says tells so.
"use strict";
(() => {
  const PRESSABLE = "a, button, [role=button], [hx-post], summary, label.choice";
  const KEPT_MS = 120000; // after two minutes the same fields are a new act
  const REACH_PX = [6, 12, 18, 24];
  const waiting = new Map();

  // Not randomUUID: browsers keep that one from pages that come over plain http.
  const newKey = () => {
    const bytes = crypto.getRandomValues(new Uint8Array(16));
    return Array.from(bytes, (n) => n.toString(16).padStart(2, "0")).join("");
  };

  const actOf = (address, fields) => {
    const pairs = [...fields].filter(([name]) => name !== "key" && name !== "seen").map(([name, value]) => [name, value.name ?? value]);
    return JSON.stringify([new URL(address, location).href, pairs]);
  };

  const keyFor = (act) => {
    const kept = waiting.get(act);
    if (kept && Date.now() - kept.since < KEPT_MS) return kept.key;
    const key = newKey();
    waiting.set(act, { key, since: Date.now() });
    return key;
  };

  const press = (element) => {
    element.classList.add("tapped");
    setTimeout(() => { if (!element.classList.contains("sent")) element.classList.remove("tapped"); }, 400);
  };

  const nearestPiece = (x, y) => {
    for (const reach of REACH_PX) {
      for (let turn = 0; turn < 12; turn += 1) {
        const angle = (turn * Math.PI) / 6;
        const found = document.elementFromPoint(x + reach * Math.cos(angle), y + reach * Math.sin(angle));
        const piece = found?.closest(".piece");
        if (piece) return piece;
      }
    }
    return null;
  };

  const isBesidePieces = (target) => target.closest?.("[data-nearest]") && !target.closest(".piece");

  document.addEventListener("pointerdown", (event) => {
    const near = isBesidePieces(event.target) ? nearestPiece(event.clientX, event.clientY) : null;
    const pressed = near || event.target.closest?.(PRESSABLE);
    if (pressed) press(pressed);
  });

  const click = (element) => element?.dispatchEvent(new MouseEvent("click", { bubbles: true, cancelable: true }));

  document.addEventListener("click", (event) => {
    if (isBesidePieces(event.target)) click(nearestPiece(event.clientX, event.clientY));
  });

  document.addEventListener("keydown", (event) => {
    if (event.key !== "Enter" && event.key !== " ") return;
    if (!event.target.matches?.("[role=button]:not(button)")) return;
    event.preventDefault();
    press(event.target);
    click(event.target);
  });

  document.addEventListener("htmx:config:request", (event) => {
    const { ctx } = event.detail;
    if (ctx.request.method === "GET") return;
    ctx.act = actOf(ctx.request.action, ctx.request.body);
    ctx.request.body.set("key", keyFor(ctx.act));
    (ctx.sourceEvent?.submitter || ctx.sourceElement).classList.add("tapped", "sent");
  });

  // An answer ends the act; a server that broke down (5xx) has not answered.
  document.addEventListener("htmx:after:request", (event) => {
    const { ctx } = event.detail;
    if (ctx.act && ctx.response.status < 500) waiting.delete(ctx.act);
  });

  document.addEventListener("htmx:finally:request", (event) => {
    const { ctx } = event.detail;
    (ctx.sourceEvent?.submitter || ctx.sourceElement).classList.remove("tapped", "sent");
  });

  document.addEventListener("submit", (event) => {
    const form = event.target;
    if (form.method !== "post" || form.matches("[hx-post]")) return;
    const key = form.querySelector("input[type=hidden][name=key]") || document.createElement("input");
    key.type = "hidden";
    key.name = "key";
    key.value = keyFor(actOf(form.action, new FormData(form, event.submitter)));
    form.append(key);
  });

  // A page that the browser brings back was answered long ago.
  window.addEventListener("pageshow", (event) => { if (event.persisted) waiting.clear(); });

  document.addEventListener("htmx:error", (event) => {
    const { ctx } = event.detail;
    if (!ctx?.act || ctx.response) return;
    const says = document.getElementById("says");
    if (says) {
      says.textContent = document.body.dataset.noAnswer;
      says.className = "says refused";
    }
    document.dispatchEvent(new CustomEvent("sound", { detail: { value: "refused" } }));
  });
})();
