/* The forms of the calculators: reading and filling fields, asking Python, drawing its answers, links that carry
   numbers. `Guide.forms()` gives those on the page, `Guide.form(section)` one of them. */
(function () {
  "use strict";
  const { make, button, say, numbers, system } = Guide;

  const SPEAK_AFTER_MS = 700;
  const WHOLE_AFTER_MS = 150;
  const KEPT_BY_SEARCH = new Set(["q", "h"]);
  const CONTROLS = "input, select";

  const live = new WeakMap();

  function forms() {
    return [...document.querySelectorAll("[data-calculator]")].map((section) => live.get(section)).filter(Boolean);
  }

  class Form {
    constructor(section) {
      this.section = section;
      this.id = section.dataset.calculator;
      this.place = section.id;
      this.form = section.querySelector("form");
      this.answer = section.querySelector("[data-answer]");
      this.headline = section.querySelector("[data-headline]");
      this.spoken = section.querySelector("[data-spoken]");
      this.engineLine = section.querySelector("[data-engine]");
      this.printed = this.texts();
      this.pieces = {};
      this.key = `guide.inputs.${location.pathname.split("/").pop() || "index.html"}#${this.place}`;
      this.asked = 0;
      this.rowNumber = 1000;
      this.notKept = "";
      this.form.addEventListener("submit", (event) => event.preventDefault());
      this.form.addEventListener("input", () => this.changed());
      this.form.addEventListener("change", () => this.changed());
      this.form.addEventListener("click", (event) => this.clicked(event));
      /* Whoever touches the form will ask soon: the engine starts, and has worked this form out once before the first
         change. */
      for (const kind of ["focusin", "pointerdown"]) {
        section.addEventListener(kind, () => this.warmUp(), { once: true });
      }
      this.addTools();
    }

    /* -- what the fields hold -- */

    texts() {
      const texts = {};
      for (const field of this.form.querySelectorAll("[data-field]")) {
        const rows = [...field.querySelectorAll("[data-row]")];
        const cells = (part) => [...part.querySelectorAll(CONTROLS)].map((cell) => cell.value).join(" | ");
        texts[field.dataset.field] = field.querySelector("[data-rows]")
          ? rows.map(cells).join("\n") : field.querySelector(CONTROLS).value;
      }
      return texts;
    }

    fill(texts) {
      for (const [name, text] of Object.entries(texts)) {
        const field = this.form.querySelector(`[data-field="${CSS.escape(name)}"]`);
        if (!field) continue;
        const rows = field.querySelector("[data-rows]");
        if (rows) this.fillRows(rows, text);
        else field.querySelector(CONTROLS).value = text;
      }
    }

    fillRows(rows, text) {
      for (const row of rows.querySelectorAll("[data-row]")) row.remove();
      for (const line of text.split(/[\n;]/)) {
        if (!line.trim()) continue;
        const cells = line.split("|");
        this.addRow(rows).querySelectorAll(CONTROLS).forEach((cell, index) => {
          if (cells[index] !== undefined && cells[index].trim() !== "") cell.value = cells[index].trim();
        });
      }
    }

    /* The printed rows have small numbers: no two rows of a page share an id. */
    addRow(rows) {
      return Guide.addRow(rows, ++this.rowNumber);
    }

    clicked(event) {
      const remove = (rows, row) => {
        const next = row.nextElementSibling;
        row.remove();
        (next && next.querySelector("input, select, button") || rows.querySelector("[data-add-row]")).focus();
      };
      if (Guide.pressed(event, (rows) => this.addRow(rows), remove)) this.changed();
    }

    /* -- asking and drawing -- */

    /* What every question about this form says. */
    question() {
      return { calculator: this.id, place: this.place, inputs: this.texts(), system: system() };
    }

    /* Python's answer, or null where the engine could not start or was stopped. */
    async request(what, more) {
      const answer = await GuideEngine.call({ ...this.question(), do: what, ...more });
      return answer && answer.ok !== false ? answer : null;
    }

    async changed() {
      const texts = JSON.stringify(this.texts());
      numbers.set(this.key, texts);
      if (numbers.trouble !== this.notKept) this.said.textContent = numbers.trouble;
      this.notKept = numbers.trouble;
      /* Leaving a field repeats what typing in it told; the answer on the page must not be drawn anew for that. */
      const shown = texts + system();
      if (shown === this.shown) return;
      this.shown = shown;
      const asked = ++this.asked;
      if (GuideEngine.state !== "ready") {
        this.stale("Your numbers are kept. Their answer comes as soon as the calculators are ready.");
      }
      const answer = await this.request("quick");
      if (asked !== this.asked) return;
      if (!answer) {
        this.shown = null;
        this.unanswered = () => this.changed();
        this.stale("Your numbers are kept, but their answer could not be worked out here. "
          + "The answer below belongs to other numbers.");
        return;
      }
      this.draw(answer);
      this.speak(answer.spoken ? answer.spoken[system()] : Object.values(answer.errors || {}).join(" "));
      if (answer.pieces) this.followUp(asked);
    }

    warmUp() {
      if (this.warm || !window.GuideEngine) return;
      this.warm = true;
      this.request("answer");
    }

    /* Plots follow at once, worked steps when the typing rests. */
    followUp(asked) {
      clearTimeout(this.following);
      const wait = this.answer.querySelector(".behind figure") ? 0 : WHOLE_AFTER_MS;
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
      this.section.dispatchEvent(new CustomEvent("guide-answered", { bubbles: true, detail: answer }));
      for (const field of this.form.querySelectorAll("[data-field]")) {
        const name = field.dataset.field;
        const error = answer.errors[name] || "";
        say(field.querySelector("[data-error]"), error);
        Guide.markInvalid(field.querySelectorAll(CONTROLS), error);
        if (answer.read && name in answer.read) {
          field.querySelector("[data-read]").innerHTML = guideHTML(answer.read[name]);
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
      this.headline.innerHTML = guideHTML(headline);
      const places = new Map([...this.section.querySelectorAll("[data-piece]")].map((piece) => [piece.dataset.piece, piece]));
      const names = Object.keys(pieces);
      const open = new Set([...this.answer.querySelectorAll("details[open]")].map((fold) => fold.dataset.fold));
      if ("sources" in pieces && names.join() !== [...places.keys()].join()) {
        const { picture = "", ...below } = pieces;
        if (places.has("picture")) places.get("picture").remove();
        this.headline.insertAdjacentHTML("afterend", guideHTML(picture));
        this.answer.innerHTML = guideHTML(Object.values(below).join(""));
        this.pieces = { ...pieces };
      } else {
        for (const [name, place] of places) {
          if (name in pieces && pieces[name] !== this.pieces[name]) {
            place.outerHTML = guideHTML(pieces[name]);
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
      if (answer && answer.inputs) this.fill(answer.inputs);
    }

    /* -- tools under the form -- */

    addTools() {
      this.said = Guide.status();
      this.form.querySelector(".inputs").append(make("div", { class: "tools" },
        button("Copy link", () => this.copyLink(), { "data-copy": "" }),
        button("Back to the printed numbers", () => this.reset(), { "data-reset": "" }), this.said));
    }

    reset() {
      this.fill(this.printed);
      this.shown = null;
      this.changed();
      numbers.remove(this.key);
    }

    async copyLink() {
      const answer = await this.request("link");
      if (!answer || !answer.inputs) {
        this.said.textContent = "The link needs the calculators, which could not start.";
        return;
      }
      const query = new URLSearchParams();
      for (const [name, text] of Object.entries(answer.inputs)) {
        if (text !== this.printed[name]) query.set(`${this.place}.${name}`, text);
      }
      const link = new URL(location.href);
      link.search = query.toString();
      link.hash = this.place;
      /* A page opened from a folder may not change its own address. */
      try { history.replaceState(history.state, "", link); } catch { /* the link itself still works */ }
      await Guide.copyLink(link.href, this.said, "Link copied. It holds the numbers you see.");
    }

    /* -- numbers from the address or from the last visit -- */

    /* The engine is up again after a failure: what it owes us is asked for once more. */
    again() {
      const { unanswered } = this;
      this.unanswered = null;
      if (unanswered) unanswered();
    }

    open() {
      const linked = {};
      for (const [name, text] of new URLSearchParams(location.search)) {
        if (name.startsWith(`${this.place}.`)) linked[name.slice(this.place.length + 1)] = text;
      }
      if (Object.keys(linked).length) return this.openLink(linked);
      const kept = this.kept();
      if (!kept || JSON.stringify(kept) === JSON.stringify(this.printed)) return;
      this.fill(kept);
      this.changed();
    }

    kept() {
      try {
        const kept = JSON.parse(numbers.get(this.key));
        const whole = kept && typeof kept === "object" && Object.values(kept).every((text) => typeof text === "string");
        return whole ? kept : null;
      } catch {
        return null;
      }
    }

    async openLink(linked) {
      this.stale("This link carries its own numbers. Their answer comes as soon as the calculators are ready.");
      const answer = await this.request("open", { inputs: linked, system: "us" });
      if (!answer || !answer.inputs) {
        this.unanswered = () => this.openLink(linked);
        this.stale("The numbers of this link could not be read, since the calculators did not start. "
          + "The answer below is for the printed numbers.");
        return;
      }
      this.fill(answer.inputs);
      notUsed(this.section, Object.values(answer.refused));
      await this.changed();
    }
  }

  /* A list of what an address held that could not be used. Always as text. */
  function notUsed(before, lines) {
    if (!lines.length) return;
    const told = "Part of this link could not be used. The printed numbers are used in its place:";
    const list = make("ul", {}, ...lines.map((line) => make("li", {}, line)));
    before.before(make("div", { class: "notice", "data-not-used": "" }, make("p", {}, told), list));
  }

  function reportStrays() {
    const places = forms().map((form) => form.place);
    const strays = [...new URLSearchParams(location.search).keys()].filter(
      (name) => !KEPT_BY_SEARCH.has(name) && !places.includes(name.split(".")[0]),
    );
    const first = document.querySelector("[data-calculator]");
    if (first) notUsed(first, strays.map((name) => `“${name.slice(0, 60)}” names no calculator of this page.`));
  }

  /* --- the engine's state, in words --------------------------------------------- */

  function showEngine() {
    for (const { engineLine: line } of forms()) {
      line.dataset.state = GuideEngine.state;
      if (GuideEngine.state === "failed") line.replaceChildren(GuideEngine.reason, " ", button("Try again", tryAgain));
      else line.textContent = engineWords();
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
     there it waits for the first touch. */
  function startWhenIdle() {
    if (location.protocol === "file:") return;
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
    reportStrays();
    showEngine();
    for (const section of fresh) live.get(section).open();
    startWhenIdle();
  }

  Object.assign(Guide, { forms, form: (section) => live.get(section) });
  document.addEventListener("guide-engine", showEngine);
  Guide.onPage(mount);
})();
