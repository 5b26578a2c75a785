// Keypad: the keys of [data-keypad] type into its input; data-digit adds, data-erase takes the last one away.
"use strict";
document.addEventListener("click", (event) => {
  const key = event.target.closest("[data-keypad] button");
  if (!key || key.type === "submit") return;
  const input = key.closest("[data-keypad]").querySelector("input");
  input.value = "erase" in key.dataset ? input.value.slice(0, -1) : input.value + key.dataset.digit;
  input.dispatchEvent(new Event("input", { bubbles: true }));
});
