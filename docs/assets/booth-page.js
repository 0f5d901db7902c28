/* The page of the booth: what was pressed goes into the journal (booth-keep.js), Python makes the board of it
   (calc/booth), and this shows the board and counts its digits on. No limit, formula or verdict stands here. */
(function () {
  "use strict";
  if (!window.GuideBooth || !GuideBooth.Days || !window.GuideEngine) return;
  const { make, say, numbers } = Guide;
  const { Days, choices, digits } = GuideBooth;

  const VIEW = "guide.booth.view";
  const PARTS = ["line", "spent", "now", "undo", "clocks", "passes", "events"];
  const AGAIN_MS = 30000;

  class Booth {
    constructor(root) {
      this.root = root;
      this.days = new Days();
      this.parts = Object.fromEntries(PARTS.map((name) => [name, root.querySelector(`[data-part="${name}"]`)]));
      this.said = root.querySelector("[data-booth-said]");
      this.pads = [];
      this.asked = 0;
      this.left = new AbortController();
    }

    async start() {
      const until = { signal: this.left.signal };
      await this.days.open();
      const mine = Guide.mine.get();
      const test = mine ? mine.id : "";
      if (!this.days.current || (test && this.days.current.test !== test)) {
        this.days.use(this.days.list().find((day) => day.test === test), test);
      }
      this.root.addEventListener("click", (event) => this.pressed(event), until);
      document.addEventListener("guide-booth-tick", () => this.tick(), until);
      document.addEventListener("guide-booth-over", () => this.draw(), until);
      document.addEventListener("guide-mine", () => { this.test = undefined; this.draw(); }, until);
      document.addEventListener("visibilitychange", () => { if (!document.hidden) this.draw(); }, until);
      window.addEventListener("storage", ({ key }) => {
        if (key && key.startsWith("guide.booth.day.")) this.draw();
      }, until);
      for (const input of document.querySelectorAll('.units input[name="units"]')) {
        input.addEventListener("change", () => this.draw(), until);
      }
      this.more = new GuideBooth.More(this);
      this.firstSight();
      this.root.dataset.ready = "";
      await this.draw();
    }

    leave() {
      this.left.abort();
      clearTimeout(this.timer);
      if (this.more) this.more.lockScreen();
    }

    /* The board as it was last drawn, while the calculators start: its digits count on. */
    firstSight() {
      const { day, count, parts, pads } = GuideBooth.read(VIEW);
      const { current } = this.days;
      if (day === current.id && count === current.events.length && parts && pads) {
        this.fill(parts);
        this.pads = pads;
      } else say(this.said, "The calculators start. What you press is kept at once.");
    }

    /* -- what is pressed -- */

    pressed(event) {
      const button = event.target.closest("button");
      if (!button) return;
      if (button.dataset.pad) this.pad(button);
      else if (button.dataset.do) this.press(button.dataset);
      else this.more.pressed(button);
    }

    press({ do: does, number, value, of }) {
      if (choices.get().sound) GuideBooth.wakeSound();
      this.watch(); /* that the clock was set stands before what is timed by it */
      const made = this.days.add({
        do: does, ...(Number(number) ? { number: Number(number) } : {}), ...(value ? { value } : {}),
        ...(of ? { of } : {}),
      });
      const at = new Date(made.at).toLocaleTimeString([], { hour12: false });
      say(this.said, this.days.trouble || `Kept at ${at}.`);
      this.root.classList.add("booth-behind");
      this.draw();
    }

    /* Nine values around the last one; larger and smaller ones a press away. */
    pad(button) {
      const pad = this.pads.find((each) => each.do === button.dataset.pad);
      if (!pad) return;
      const { values, stride, keys, title } = pad;
      const middle = (keys - 1) / 2;
      let at = pad.at;
      const dialog = make("dialog", { class: "booth-pad", "aria-labelledby": "booth-pad-title" });
      const grid = make("div", { class: "booth-keys booth-values" });
      const close = () => dialog.close();
      const choose = (place) => {
        close();
        this.press({ do: pad.do, number: button.dataset.number, value: values[place][0] });
      };
      const draw = () => {
        at = Math.min(values.length - 1, Math.max(0, at));
        grid.replaceChildren(...Array.from({ length: keys }, (_, key) => {
          const place = at + (key - middle) * stride;
          const there = values[place];
          return Guide.button(there ? there[1] : "—", () => choose(place), { class: "booth-key", disabled: !there });
        }));
      };
      const move = (words, by) => Guide.button(words, () => { at += by; draw(); }, { class: "booth-key" });
      const moves = make("div", { class: "booth-keys booth-moves" },
        move("Lower", -stride * 3), move("A little lower", -1), move("A little higher", 1), move("Higher", stride * 3));
      dialog.append(make("h2", { id: "booth-pad-title" }, title), grid, moves,
        Guide.button("Close without a value", close, { class: "booth-key" }));
      dialog.addEventListener("close", () => { dialog.remove(); this.focus(button.dataset); });
      draw();
      this.root.append(dialog);
      dialog.showModal();
      grid.children[middle].focus();
    }

    focus({ pad, do: does, number }) {
      const same = pad ? `[data-pad="${pad}"]` : `[data-do="${does}"][data-number="${number}"]`;
      const found = this.root.querySelector(same) || this.root.querySelector(".booth-main");
      if (found) found.focus({ preventScroll: true });
    }

    /* -- what Python says -- */

    /* The record of the test, read once for a change of it. */
    async testRecord() {
      if (this.test === undefined) {
        const mine = Guide.mine.get();
        this.store = this.store || (await GuideRecord.openStore()).store;
        const entry = mine && await this.store.get(mine.id);
        this.test = entry && !entry.deleted ? entry.record : null;
      }
      return this.test;
    }

    async draw() {
      const asked = ++this.asked;
      clearTimeout(this.timer);
      const test = await this.testRecord();
      if (asked !== this.asked || this.left.signal.aborted) return;
      this.days.refresh();
      const question = { do: "booth-board", day: this.days.current, now: Date.now(), test, system: Guide.system() };
      const answer = await GuideEngine.call(question);
      if (asked !== this.asked || this.left.signal.aborted) return;
      if (!answer.now) {
        const why = answer.refused || answer.reason || answer.trouble || "the calculators gave no answer.";
        say(this.said, `What you pressed is kept. The board does not follow: ${why}`);
        return;
      }
      this.fill(answer, !this.root.classList.contains("booth-behind"));
      this.root.classList.remove("booth-behind");
      this.pads = answer.pads;
      if (GuideEngine.state === "ready" && this.said.textContent.startsWith("The calculators")) say(this.said, "");
      if (this.days.trouble) say(this.said, this.days.trouble);
      const parts = Object.fromEntries(PARTS.map((name) => [name, answer[name]]));
      const count = this.days.current.events.length;
      numbers.set(VIEW, JSON.stringify({ day: this.days.current.id, count, parts, pads: this.pads }));
      GuideBooth.keepRunning(answer.strip);
      this.more.drawn();
      if (answer.strip.length) this.timer = setTimeout(() => this.draw(), AGAIN_MS);
    }

    /* `quiet`: nothing was pressed, so what the reader opened stays open, and the focus where it is. */
    fill(parts, quiet = false) {
      const active = document.activeElement;
      const focused = this.root.contains(active) ? { ...active.dataset } : null;
      const open = this.root.querySelector("dialog[open]");
      for (const name of PARTS) {
        const place = this.parts[name];
        if (place.kept === parts[name]) continue;
        place.kept = parts[name];
        if (quiet) Guide.renewInside(place, parts[name]);
        else place.innerHTML = guideHTML(parts[name]);
      }
      const stayed = active === document.activeElement && focused
        && Object.entries(focused).every(([name, text]) => active.dataset[name] === text);
      if (focused && !open && !stayed) this.focus(focused);
      this.count();
    }

    /* -- each second -- */

    tick() {
      const noted = () => (this.days.current ? this.days.current.events.length : 0);
      const before = noted();
      this.watch();
      if (noted() !== before) this.draw();
      this.count();
    }

    watch() {
      const leap = this.days.watchClock();
      if (leap) this.more.askLeap(leap);
    }

    count() {
      const now = Date.now();
      for (const place of this.root.querySelectorAll("[data-since]")) {
        say(place, digits(Math.max(0, now - Number(place.dataset.since))));
      }
      for (const place of this.root.querySelectorAll("[data-until]")) {
        say(place, digits(Number(place.dataset.until) - now));
      }
    }
  }

  let live = null;
  Guide.onPage(() => {
    const root = document.getElementById("booth-app");
    if (live && live.root !== root) {
      live.leave();
      live = null;
    }
    if (!root || live) return;
    live = new Booth(root);
    GuideBooth.app = live;
    live.start();
  });
})();
