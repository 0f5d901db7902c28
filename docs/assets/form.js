/* The forms of the calculators: asking Python, drawing its answers. `Guide.forms()` gives those on the page,
   `Guide.form(section)` one of them. Which numbers stand in the fields, form-numbers.js says; links that carry numbers
   are the work of form-links.js. */
(function () {
  "use strict";
  const { make, button, say, numbers, system, links, FormNumbers } = Guide;
  const { same, addRow } = FormNumbers;

  const SPEAK_AFTER_MS = 700;
  const WHOLE_AFTER_MS = 150;
  const CONTROLS = "input, select";
  const PRESSED = "button, summary, a";

  const live = new WeakMap();

  function forms() {
    return [...document.querySelectorAll("[data-calculator]")].map((section) => live.get(section)).filter(Boolean);
  }

  /* A plot's player moves its parts, and buttons stand in some figures: those are put in anew. */
  function renewPiece(place, html) {
    const drawn = make("template");
    drawn.innerHTML = guideHTML(html);
    const fresh = drawn.content.firstElementChild;
    const figures = (piece) => [...piece.querySelectorAll("[data-figure]")].map((each) => each.dataset.figure).join();
    if (place.querySelector("svg.plot, .figure-tools") || figures(place) !== figures(fresh)) place.replaceWith(fresh);
    else Guide.renew(place, fresh);
  }

  class Form extends FormNumbers {
    constructor(section) {
      super(section);
      this.answer = section.querySelector("[data-answer]");
      this.headline = section.querySelector("[data-headline]");
      this.spoken = section.querySelector("[data-spoken]");
      this.engineLine = section.querySelector("[data-engine]");
      this.pieces = {};
      this.read = {};
      this.asked = 0;
      this.form.addEventListener("submit", (event) => event.preventDefault());
      this.form.addEventListener("input", () => this.edited());
      this.form.addEventListener("change", () => this.edited());
      this.form.addEventListener("click", (event) => this.clicked(event));
      /* The focus shows a field's help and hides another's: it comes with the click, so that what is pressed does not
         move away from under the pointer. */
      section.addEventListener("mousedown", (event) => { if (event.target.closest(PRESSED)) event.preventDefault(); });
      section.addEventListener("click", (event) => {
        const pressed = event.target.closest(PRESSED);
        if (pressed) pressed.focus({ preventScroll: true });
      }, { capture: true });
      /* Whoever uses the form will ask soon: the engine starts, and has worked this form out once before the first
         change. Not before the click: the line that tells of the start would move what is pressed. */
      for (const kind of ["focusin", "click", "input"]) {
        section.addEventListener(kind, () => this.warmUp(), { once: true });
      }
      this.addTools();
    }

    /* The numbers that stand here are the reader's own from now on. */
    own() {
      this.visiting = false;
      links.leaveAddress(this.place);
      this.keep();
    }

    edited() {
      this.own();
      this.changed();
    }

    /* Texts put in by a button. */
    take(texts) {
      this.put(texts);
      this.edited();
    }

    /* The reader's own numbers, in the place of a link's too. Where the units were switched meanwhile, a bare number
       gets the unit that it was typed for. */
    async openMine() {
      this.visiting = false;
      const { changed, typed } = this.kept();
      this.put({ ...this.base, ...changed });
      if (!typed || typed === system()) return;
      this.comes();
      const answer = await this.request("link", { inputs: changed, system: typed });
      const untouched = (name) => this.texts()[name] === changed[name];
      if (!answer || !answer.inputs) return;
      this.put(Object.fromEntries(Object.entries(answer.inputs).filter(([name]) => untouched(name))));
      this.keep();
    }

    async backToMine() {
      links.leaveAddress(this.place);
      await this.openMine();
      this.changed();
    }

    /* The test changed: fields that were not changed away follow it. */
    followMine() {
      const away = this.visiting ? {} : this.away();
      const before = this.base;
      this.base = this.based();
      if (!this.visiting && !same(this.base, before)) {
        this.put({ ...this.base, ...away });
        this.keep();
        this.changed();
      }
      this.tell();
    }

    clicked(event) {
      const remove = (rows, row) => {
        const next = row.nextElementSibling;
        row.remove();
        (next && next.querySelector("input, select, button") || rows.querySelector("[data-add-row]")).focus();
        return () => (next && next.isConnected ? next : rows.querySelector("template")).before(row);
      };
      if (Guide.pressed(event, addRow, remove)) this.edited();
    }

    /* -- asking and drawing -- */

    /* What every question about this form says. */
    question() {
      const inputs = this.texts();
      const { fills } = this;
      const away = Object.entries(this.base).filter(([name, text]) => name in fills && text !== inputs[name]);
      const own = away.length ? { own: Object.fromEntries(away) } : {};
      return { calculator: this.id, place: this.place, inputs, system: system(), ...own };
    }

    /* Python's answer, or null where the engine could not start or was stopped. */
    async request(what, more) {
      const answer = await GuideEngine.call({ ...this.question(), do: what, ...more });
      return answer && answer.ok !== false ? answer : null;
    }

    /* `aloud`: the reader did it, and is told the answer. */
    async changed(aloud = true) {
      const texts = this.texts();
      if (!same(texts, this.told)) this.tell();
      /* Leaving a field repeats what typing in it told; the answer on the page must not be drawn anew for that. */
      const shown = JSON.stringify(texts) + system();
      if (shown === this.shown) return;
      this.shown = shown;
      const asked = ++this.asked;
      if (GuideEngine.state !== "ready") this.comes();
      const answer = await this.request("quick");
      if (asked !== this.asked) return;
      if (!answer) {
        this.shown = null;
        this.unanswered = () => this.changed();
        this.stale(`${this.whose} Their answer could not be worked out here. `
          + "The answer below belongs to other numbers.");
        return;
      }
      this.draw(answer);
      if (aloud) this.speak(answer.spoken ? answer.spoken[system()] : Object.values(answer.errors || {}).join(" "));
      if (answer.pieces) this.followUp(asked);
    }

    /* Whose numbers stand in the fields, as a sentence. */
    get whose() {
      if (this.visiting) return "This link carries its own numbers.";
      const ofTest = this.base !== this.printed && !Object.keys(this.away()).length;
      return ofTest ? "These are the numbers of your test." : "Your numbers are kept.";
    }

    /* Asked for once the engine is up. It starts when the page is idle. */
    changedOnceReady() {
      if (GuideEngine.state === "ready") return this.changed(false);
      this.waits = true;
      this.comes();
    }

    comes() {
      this.stale(`${this.whose} Their answer comes as soon as the calculators are ready.`);
    }

    warmUp() {
      if (this.warm || !window.GuideEngine) return;
      this.warm = true;
      this.request("answer");
    }

    /* Plots follow at once, worked steps when the typing rests. */
    followUp(asked) {
      clearTimeout(this.following);
      const wait = this.section.querySelector(".behind figure") ? 0 : WHOLE_AFTER_MS;
      this.following = setTimeout(async () => {
        const whole = asked === this.asked && (await this.request("answer"));
        if (whole && asked === this.asked) this.draw(whole);
      }, wait);
    }

    /* A slider on its way: one question at a time; what moved meanwhile is asked next, so that no queue builds up. */
    async move() {
      this.moved = true;
      this.shown = null;
      if (this.moving) return;
      this.moving = true;
      while (this.moved) {
        this.moved = false;
        const asked = ++this.asked;
        const answer = await this.request("quick");
        if (answer && asked === this.asked) this.draw(answer);
      }
      this.moving = false;
    }

    draw(answer) {
      if (answer.trouble) return this.stale(answer.trouble);
      this.alike = Object.fromEntries((answer.same || []).map((name) => [name, this.texts()[name]]));
      if (answer.same) this.tell();
      this.section.dispatchEvent(new CustomEvent("guide-answered", { bubbles: true, detail: answer }));
      for (const field of this.form.querySelectorAll("[data-field]")) {
        const name = field.dataset.field;
        const error = answer.errors[name] || "";
        say(field.querySelector("[data-error]"), error);
        Guide.markInvalid(field.querySelectorAll(CONTROLS), error);
        const read = (answer.read || {})[name];
        if (read !== undefined && read !== this.read[name]) {
          Guide.renewInside(field.querySelector("[data-read]"), read);
          this.read[name] = read;
        }
      }
      if (answer.pieces === undefined) {
        this.stale("The answer below belongs to the last numbers that could be used.");
        return;
      }
      this.drawAnswer(answer);
      this.stale("");
    }

    /* Renews the sentence and each piece that is another than the one shown. Pieces that a quick answer leaves out
       stay, marked. */
    drawAnswer({ headline, pieces }) {
      Guide.renewInside(this.headline, headline);
      const shown = [...this.section.querySelectorAll("[data-piece]")];
      const places = new Map(shown.map((piece) => [piece.dataset.piece, piece]));
      const names = Object.keys(pieces);
      const open = new Set([...this.answer.querySelectorAll("details[open]")].map((fold) => fold.dataset.fold));
      if ("sources" in pieces && names.join() !== [...places.keys()].join()) {
        const { picture = "", ...below } = pieces;
        if (places.has("picture")) places.get("picture").remove();
        const drawn = make("template");
        drawn.innerHTML = guideHTML(picture);
        this.headline.after(drawn.content);
        this.answer.innerHTML = guideHTML(Object.values(below).join(""));
        this.pieces = { ...pieces };
      } else {
        for (const [name, place] of places) {
          if (name in pieces && pieces[name] !== this.pieces[name]) {
            renewPiece(place, pieces[name]);
            this.pieces[name] = pieces[name];
          } else {
            place.classList.toggle("behind", !(name in pieces));
          }
        }
      }
      for (const fold of this.answer.querySelectorAll("details")) fold.open = open.has(fold.dataset.fold);
    }

    /* Words: the answer is stale, and why. "": it is fresh. */
    stale(words) {
      this.section.classList.toggle("stale", words !== "");
      let line = this.section.querySelector("[data-stale]");
      if (words === "") {
        if (line) line.remove();
        return;
      }
      if (!line) {
        line = make("p", { class: "notice", "data-stale": "" });
        this.headline.before(line);
      }
      line.textContent = words;
    }

    speak(sentence) {
      clearTimeout(this.speaking);
      this.speaking = setTimeout(() => say(this.spoken, sentence), SPEAK_AFTER_MS);
    }

    /* Before a switch of units: a bare 3/8 means inches, and must mean inches after it. */
    async writeUnitsOut() {
      if (GuideEngine.state !== "ready" && !numbers.get(this.key)) return;
      const answer = await this.request("link");
      if (!answer || !answer.inputs) return;
      this.put(answer.inputs);
      if (!this.visiting) this.keep();
    }

    /* -- tools under the form -- */

    addTools() {
      this.said = Guide.status({ tabindex: "-1" });
      this.form.querySelector(".inputs").append(make("div", { class: "tools" },
        button("Copy link", () => links.copy(this), { "data-copy": "" }),
        button("Back to the printed numbers", () => this.reset(), { "data-reset": "" }), this.said));
    }

    reset() {
      this.shown = null;
      this.take(this.printed);
    }

    /* -- numbers from the address or from the last visit -- */

    /* The engine is up again after a failure: what it owes us is asked for once more. */
    again() {
      const { unanswered } = this;
      this.unanswered = null;
      if (unanswered) unanswered();
    }

    async open() {
      this.base = this.based();
      const linked = links.inAddress(this.place);
      if (Object.keys(linked).length) return links.open(this, linked);
      await this.openMine();
      if (!same(this.printed, this.texts())) this.changedOnceReady();
      else this.stale("");
      if (this.base !== this.printed) this.tell();
    }

  }

  /* --- the engine's state, in words --------------------------------------------- */

  function showEngine() {
    for (const { engineLine: line } of forms()) {
      line.dataset.state = GuideEngine.state;
      if (GuideEngine.state === "failed") line.replaceChildren(GuideEngine.reason, " ", button("Try again", tryAgain));
      else line.textContent = engineWords();
    }
  }

  function askWaiting() {
    if (GuideEngine.state !== "ready" && GuideEngine.state !== "failed") return;
    for (const form of forms().filter((each) => each.waits)) {
      form.waits = false;
      form.changed(false);
    }
  }

  async function tryAgain() {
    if (await GuideEngine.retry()) for (const form of forms()) form.again();
  }

  function engineWords() {
    if (GuideEngine.state === "ready") return "Ready: each change gives a new answer at once.";
    if (GuideEngine.state !== "loading") return "Change a number and the answer changes with it.";
    return `Getting the calculators ready: ${(GuideEngine.progress || {}).step || ""}${Guide.engineShare()}`;
  }

  /* Served, one engine serves every page, so it is worth having early. In a folder each page boots its own:
     there it waits for the first touch, or for a form that holds other numbers than its answer. */
  function startWhenIdle() {
    if (location.protocol === "file:" && !forms().some((form) => form.waits)) return;
    const start = () => GuideEngine.start();
    const later = window.requestIdleCallback || ((work) => setTimeout(work, 1500));
    const idle = () => later(start, { timeout: 4000 });
    if (document.readyState === "complete") idle();
    else window.addEventListener("load", idle, { once: true });
  }

  /* --- mounting ------------------------------------------------------------------- */

  function mount() {
    const fresh = [...document.querySelectorAll("[data-calculator]")].filter((section) => !live.has(section));
    for (const section of fresh) live.set(section, new Form(section));
    if (!fresh.length || !window.GuideEngine) return;
    links.reportStrays(forms());
    showEngine();
    Promise.all(fresh.map((section) => live.get(section).open())).then(startWhenIdle);
  }

  Object.assign(Guide, { forms, form: (section) => live.get(section) });
  document.addEventListener("guide-engine", showEngine);
  document.addEventListener("guide-engine", askWaiting);
  document.addEventListener("guide-mine", () => { for (const form of forms()) form.followMine(); });
  Guide.onPage(mount);
})();
