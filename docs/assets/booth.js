/* The clocks of the day on every page: a thin strip while one runs, its words and its sound when one runs out. It
   reads one small key, which the page of the booth keeps (booth-page.js), and starts nothing. What a clock means,
   Python says; here an instant is taken from another. */
(function () {
  "use strict";
  const { make, numbers } = Guide;
  const PAGE = new URL("../booth.html", document.currentScript.src).href;

  /* {clocks: [{name, since} or {name, until, spent, key, seen}]}, instants in milliseconds of the device's clock. */
  const NOW = "guide.booth.now";
  const SET = "guide.booth.set";
  const REMIND_MS = 20000;
  const SECOND = 1000;

  function read(key) {
    try {
      const found = JSON.parse(numbers.get(key) || "null");
      return found && typeof found === "object" ? found : {};
    } catch {
      return {};
    }
  }

  function running() {
    const { clocks } = read(NOW);
    return Array.isArray(clocks) ? clocks : [];
  }

  function keepRunning(clocks) {
    if (clocks.length) numbers.set(NOW, JSON.stringify({ clocks }));
    else if (numbers.get(NOW)) numbers.remove(NOW);
    tick();
  }

  /* What the reader chose for this device: {sound, awake, hand}. */
  const choices = {
    get: () => ({ sound: true, awake: false, hand: "right", ...read(SET) }),
    set(change) { numbers.set(SET, JSON.stringify({ ...choices.get(), ...change })); },
  };

  /* --- digits ------------------------------------------------------------------------ */

  const two = (number) => String(number).padStart(2, "0");

  function digits(milliseconds) {
    const whole = Math.floor(Math.abs(milliseconds) / SECOND);
    const hours = Math.floor(whole / 3600);
    const minutes = Math.floor(whole / 60) % 60;
    const shown = hours ? `${hours}:${two(minutes)}:${two(whole % 60)}` : `${minutes}:${two(whole % 60)}`;
    return milliseconds < 0 && whole ? `over by ${shown}` : shown;
  }

  function count({ since, until }, now = Date.now()) {
    return digits(since === undefined ? until - now : Math.max(0, now - since));
  }

  /* --- sound --------------------------------------------------------------------------- */

  let audio = null;

  /* Browsers let a page sound only after a press on it. */
  function wakeSound() {
    const Context = window.AudioContext || window.webkitAudioContext;
    if (!audio && Context) audio = new Context();
    if (audio && audio.state === "suspended") audio.resume().catch(() => {});
  }

  /* Three tones and a shake. False where this browser gives no sound now. */
  function signal() {
    const pressed = navigator.userActivation && navigator.userActivation.hasBeenActive;
    if (navigator.vibrate && pressed) navigator.vibrate([400, 150, 400, 150, 400]);
    if (!audio || audio.state !== "running") return false;
    for (const part of [0, 0.35, 0.7]) {
      const tone = audio.createOscillator();
      const loud = audio.createGain();
      tone.frequency.value = 880;
      loud.gain.setValueAtTime(0.5, audio.currentTime + part);
      loud.gain.linearRampToValueAtTime(0, audio.currentTime + part + 0.3);
      tone.connect(loud).connect(audio.destination);
      tone.start(audio.currentTime + part);
      tone.stop(audio.currentTime + part + 0.3);
    }
    return true;
  }

  /* --- the strip -------------------------------------------------------------------------- */

  let timer = 0;
  let strip = null;
  const told = new Map(); /* run of a clock -> when it last sounded */

  const over = ({ until, seen, spent }, now) => until !== undefined && spent && !seen && until <= now;

  function remind(clocks, now) {
    const { sound } = choices.get();
    for (const { key, ...clock } of clocks) {
      if (!over(clock, now) || now - (told.get(key) || 0) < REMIND_MS) continue;
      told.set(key, now);
      if (sound) signal();
      document.dispatchEvent(new CustomEvent("guide-booth-over", { detail: key }));
    }
  }

  function show(clocks, now) {
    const here = document.getElementById("booth-app");
    const wanted = clocks.length > 0 && !here;
    document.documentElement.classList.toggle("booth-runs", wanted);
    if (!wanted) {
      if (strip) strip.remove();
      strip = null;
      return;
    }
    if (!strip || !strip.isConnected) {
      const link = make("a", { href: PAGE });
      const spent = make("p", { role: "alert" });
      strip = make("nav", { class: "booth-strip", "aria-label": "Clocks that run" }, link, spent);
      document.body.append(strip);
    }
    const words = clocks.map((clock) => `${clock.name} ${count(clock, now)}`).join(" · ");
    Guide.say(strip.firstChild, words);
    Guide.say(strip.lastChild, clocks.filter((clock) => over(clock, now))
      .map(({ spent }) => spent).join(" "));
  }

  function tick() {
    clearTimeout(timer);
    const clocks = running();
    const now = Date.now();
    show(clocks, now);
    if (!clocks.length) return;
    remind(clocks, now);
    document.dispatchEvent(new CustomEvent("guide-booth-tick", { detail: now }));
    timer = setTimeout(tick, SECOND - (now % SECOND));
  }

  window.addEventListener("storage", ({ key }) => { if (key === NOW || key === null) tick(); });
  document.addEventListener("visibilitychange", () => { if (!document.hidden) tick(); });
  document.addEventListener("pointerdown", () => { if (running().length && choices.get().sound) wakeSound(); });
  window.GuideBooth = { running, keepRunning, choices, digits, count, wakeSound, signal, read };
  Guide.onPage(tick);
})();
