// Timers on the run sheet. Without this script the sheet is a plain list; with
// it each timed step counts down, beeps ten seconds before its end and at it,
// and goes on to the next. The running step is remembered for this tab, so that
// taking a reading, which loads the page anew, stops no timer.
"use strict";
(() => {
  const run = document.querySelector(".run[data-running]");
  if (!run) return;
  const steps = [...run.querySelectorAll(".step[data-seconds]")];
  const store = "run-" + run.dataset.run;
  const warnAt = 10;
  let state = { step: 0, ends: 0 };
  try { state = { ...state, ...JSON.parse(sessionStorage.getItem(store)) }; } catch { /* nothing kept */ }
  let sound = null, warned = false, rung = false;

  const keep = () => { try { sessionStorage.setItem(store, JSON.stringify(state)); } catch { /* private tab */ } };
  const clock = (s) => (s < 0 ? "+" : "") + Math.floor(Math.abs(s) / 60) + ":" + String(Math.abs(s) % 60).padStart(2, "0");

  const beep = (times, pitch) => {
    if (!sound) return;
    for (let i = 0; i < times; i++) {
      const at = sound.currentTime + i * 0.3;
      const tone = sound.createOscillator(), loud = sound.createGain();
      tone.frequency.value = pitch;
      loud.gain.setValueAtTime(0.0001, at);
      loud.gain.exponentialRampToValueAtTime(0.6, at + 0.02);
      loud.gain.exponentialRampToValueAtTime(0.0001, at + 0.22);
      tone.connect(loud).connect(sound.destination);
      tone.start(at);
      tone.stop(at + 0.25);
    }
  };

  // Browsers allow sound only after somebody pressed something.
  const allowSound = () => {
    sound ??= new AudioContext();
    sound.resume();
    navigator.wakeLock?.request("screen").catch(() => {});
  };

  const button = (label, primary, press) => {
    const b = document.createElement("button");
    b.type = "button";
    b.className = "button large" + (primary ? " primary" : " quiet");
    b.textContent = label;
    b.addEventListener("click", press);
    return b;
  };

  const begin = (i) => {
    allowSound();
    state = { step: i, ends: Date.now() + steps[i].dataset.seconds * 1000 };
    warned = rung = false;
    keep();
    draw();
  };
  const leave = () => {
    allowSound();
    state = { step: state.step + 1, ends: 0 };
    keep();
    draw();
  };

  const draw = () => {
    run.querySelectorAll(".clock").forEach((c) => c.remove());
    steps.forEach((step, i) => {
      step.classList.toggle("over", i < state.step);
      step.classList.toggle("now", i === state.step);
      step.classList.remove("due");
    });
    const step = steps[state.step];
    if (!step) return;
    const box = document.createElement("div");
    box.className = "clock";
    const left = document.createElement("span");
    left.className = "left";
    left.setAttribute("role", "timer");
    box.append(left);
    const name = step.querySelector("h3").textContent;
    if (state.ends) {
      box.append(button("Next step", true, leave), button("Begin this one again", false, () => begin(state.step)));
    } else {
      box.append(button("Start timer: " + name, true, () => begin(state.step)), button("Skip", false, leave));
    }
    step.append(box);
    tick();
  };

  const tick = () => {
    const step = steps[state.step];
    const left = step?.querySelector(".left");
    if (!left) return;
    const seconds = state.ends ? Math.ceil((state.ends - Date.now()) / 1000) : Number(step.dataset.seconds);
    left.textContent = clock(seconds);
    if (!state.ends) return;
    if (seconds <= warnAt && seconds > 0 && !warned) { warned = true; beep(2, 880); }
    if (seconds <= 0 && !rung) { rung = true; beep(5, 1320); }
    step.classList.toggle("due", seconds <= 0);
  };

  document.addEventListener("pointerdown", () => state.ends && allowSound(), { once: true });
  document.addEventListener("keydown", () => state.ends && allowSound(), { once: true });
  draw();
  setInterval(tick, 200);
})();
