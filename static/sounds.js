// Sounds: one short high beep for "done", two low ones for "refused", four rising ones for "called" (a timer has ended).
// After every answer to an act, the first element with data-sound in what came back is played; so is one that a full
// page arrives with. Other scripts send the event "sound" on document, detail {value: "done"}.
"use strict";
(() => {
  let audio;

  const beep = (at, hertz, seconds) => {
    const tone = audio.createOscillator();
    const level = audio.createGain();
    tone.frequency.value = hertz;
    level.gain.setValueAtTime(0.25, at);
    level.gain.exponentialRampToValueAtTime(0.001, at + seconds);
    tone.connect(level).connect(audio.destination);
    tone.start(at);
    tone.stop(at + seconds);
  };

  const play = (name) => {
    if (navigator.userActivation && !navigator.userActivation.hasBeenActive) return; // not allowed before a first tap
    navigator.vibrate?.({ done: 30, called: [200, 100, 200, 100, 400] }[name] || [60, 60, 60]);
    if (!window.AudioContext) return;
    audio ||= new AudioContext();
    if (audio.state === "suspended") audio.resume();
    const now = audio.currentTime;
    if (name === "done") beep(now, 1320, 0.12);
    if (name === "called") [660, 880, 1100, 1320].forEach((hertz, at) => beep(now + 0.35 * at, hertz, 0.3));
    if (name === "refused") { beep(now, 220, 0.18); beep(now + 0.24, 196, 0.26); }
  };

  const playIn = (place) => {
    const sounding = place?.closest?.("[data-sound]") || place?.querySelector?.("[data-sound]");
    if (sounding) play(sounding.dataset.sound);
  };

  document.addEventListener("sound", (event) => play(event.detail?.value));
  document.addEventListener("DOMContentLoaded", () => playIn(document.getElementById("page")));
  // A page that only refreshes itself (GET) stays silent. What came back may have gone into #says instead.
  document.addEventListener("htmx:after:swap", (event) => {
    const ctx = event.detail.ctx;
    if (ctx.request.method === "GET") return;
    const target = ctx.target?.isConnected ? ctx.target : null;
    playIn(target?.querySelector("[data-sound]") ? target : document.getElementById("page"));
  });
})();
