/* The forms of the calculators: reading and filling fields, asking Python, drawing its answers, links that carry
   numbers. `Guide.forms()` gives those on the page, `Guide.form(section)` one of them.

   Three layers of numbers: the printed ones, over them those of the reader's own test (`base`), over them what was
   changed away, which alone is kept. The numbers of a link stand for a visit and touch none of these. A form tells by
   the event `guide-numbers` where they come from and whether they are others than before; form-mine.js shows it. */
(function () {
  "use strict";
  const { make, button, say, numbers, system } = Guide;

  const SPEAK_AFTER_MS = 700;
  const WHOLE_AFTER_MS = 150;
  const KEPT_BY_SEARCH = new Set(["q", "h"]);
  const CONTROLS = "input, select";
  const COMES = "Their answer comes as soon as the calculators are ready.";

  const live = new WeakMap();

  function forms() {
    return [...document.querySelectorAll("[data-calculator]")].map((section) => live.get(section)).filter(Boolean);
  }

  /* --- what fields hold ------------------------------------------------------------- */

  function textsOf(form) {
    const texts = {};
    for (const field of form.querySelectorAll("[data-field]")) {
      const rows = [...field.querySelectorAll("[data-row]")];
      const cells = (part) => [...part.querySelectorAll(CONTROLS)].map((cell) => cell.value).join(" | ");
      texts[field.dataset.field] = field.querySelector("[data-rows]")
        ? rows.map(cells).join("\n") : field.querySelector(CONTROLS).value;
    }
    return texts;
  }

  /* Fields that hold the text already are left alone: their rows keep the focus. */
  function fill(form, texts) {
    const held = textsOf(form);
    for (const [name, text] of Object.entries(texts)) {
      if (!(name in held) || held[name] === text) continue;
      const field = form.querySelector(`[data-field="${CSS.escape(name)}"]`);
      const rows = field.querySelector("[data-rows]");
      if (rows) fillRows(rows, text);
      else fillControl(field.querySelector(CONTROLS), text);
    }
  }

  function fillRows(rows, text) {
    for (const row of rows.querySelectorAll("[data-row]")) row.remove();
    for (const line of text.split(/[\n;]/)) {
      if (!line.trim()) continue;
      const cells = line.split("|");
      addRow(rows).querySelectorAll(CONTROLS).forEach((cell, index) => {
        if (cells[index] !== undefined && cells[index].trim() !== "") fillControl(cell, cells[index].trim());
      });
    }
  }

  /* A choice that is not in the list leaves the one that is chosen. */
  function fillControl(control, text) {
    if (!control.options || [...control.options].some((option) => option.value === text)) control.value = text;
  }

  /* The printed rows have small numbers: no two rows of a page share an id. */
  let rowNumber = 1000;

  function addRow(rows) {
    return Guide.addRow(rows, ++rowNumber);
  }

  const same = (one, other) => Object.keys(one).every((name) => one[name] === other[name]);

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
      this.base = this.printed;
      this.told = this.printed;
      /* The numbers of a link stand here, and nothing is kept. */
      this.visiting = false;
      /* What is written in another way than in the test and means the same, as Python says. */
      this.alike = {};
      this.pieces = {};
      this.key = `guide.inputs.${location.pathname.split("/").pop() || "index.html"}#${this.place}`;
      this.asked = 0;
      this.notKept = "";
      this.form.addEventListener("submit", (event) => event.preventDefault());
      this.form.addEventListener("input", () => this.edited());
      this.form.addEventListener("change", () => this.edited());
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
      return textsOf(this.form);
    }

    put(texts) {
      fill(this.form, texts);
    }

    /* What the reader's own test says of this form, by input. A form that was printed with numbers of its own keeps
       to them. */
    get fills() {
      const mine = !this.section.hasAttribute("data-given") && Guide.mine.get();
      return (mine && mine.fills[this.id]) || {};
    }

    /* The test's numbers over the printed ones, written as the fields would write them. */
    based() {
      const { fills } = this;
      if (!Object.keys(fills).length) return this.printed;
      const sheet = this.form.cloneNode(true);
      fill(sheet, { ...this.printed, ...fills });
      return textsOf(sheet);
    }

    /* What differs from the base: it alone is kept. */
    away() {
      return Object.fromEntries(Object.entries(this.texts()).filter(([name, text]) => text !== this.base[name]));
    }

    kept() {
      try {
        const { changed, ...all } = JSON.parse(numbers.get(this.key));
        /* Versions before 2 kept every field. */
        const found = Object.entries(changed || all).filter(([name, text]) => changed || text !== this.printed[name]);
        return found.every(([, text]) => typeof text === "string") ? Object.fromEntries(found) : {};
      } catch {
        return {};
      }
    }

    keep() {
      const away = this.away();
      if (Object.keys(away).length) numbers.set(this.key, JSON.stringify({ changed: away }));
      else numbers.remove(this.key);
      if (numbers.trouble !== this.notKept) this.said.textContent = numbers.trouble;
      this.notKept = numbers.trouble;
    }

    /* The numbers that stand here are the reader's own from now on. */
    own() {
      this.visiting = false;
      this.clearAddress();
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

    /* The reader's own numbers in the place of a link's. */
    openMine() {
      this.visiting = false;
      this.put({ ...this.base, ...this.kept() });
    }

    backToMine() {
      this.openMine();
      this.clearAddress();
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

    tell() {
      const texts = this.texts();
      const detail = { other: !same(texts, this.told) };
      this.told = texts;
      this.section.dispatchEvent(new CustomEvent("guide-numbers", { bubbles: true, detail }));
    }

    clicked(event) {
      const remove = (rows, row) => {
        const next = row.nextElementSibling;
        row.remove();
        (next && next.querySelector("input, select, button") || rows.querySelector("[data-add-row]")).focus();
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
      if (GuideEngine.state !== "ready") this.stale(`${this.whose} ${COMES}`);
      const answer = await this.request("quick");
      if (asked !== this.asked) return;
      if (!answer) {
        this.shown = null;
        this.unanswered = () => this.changed();
        this.stale(`${this.whose} Their answer could not be worked out here. The answer below belongs to other numbers.`);
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
      this.stale(`${this.whose} ${COMES}`);
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
      this.alike = Object.fromEntries((answer.same || []).map((name) => [name, this.texts()[name]]));
      if (answer.same) this.tell();
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
      const places = new Map([...this.answer.children].map((piece) => [piece.dataset.piece, piece]));
      const names = Object.keys(pieces);
      const open = new Set([...this.answer.querySelectorAll("details[open]")].map((fold) => fold.dataset.fold));
      if ("sources" in pieces && names.join() !== [...places.keys()].join()) {
        this.answer.innerHTML = guideHTML(Object.values(pieces).join(""));
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
      if (!answer || !answer.inputs) return;
      this.put(answer.inputs);
      if (!this.visiting) this.keep();
    }

    /* -- tools under the form -- */

    addTools() {
      this.said = Guide.status({ tabindex: "-1" });
      this.form.append(make("div", { class: "tools" },
        button("Copy link", () => this.copyLink(), { "data-copy": "" }),
        button("Back to the printed numbers", () => this.reset(), { "data-reset": "" }), this.said));
    }

    reset() {
      this.shown = null;
      this.take(this.printed);
    }

    /* Every input that is not as printed, also where it is as in the test: who opens the link has another test. Where
       all are as printed, one of them says that these numbers are meant. */
    async copyLink() {
      const answer = await this.request("link");
      if (!answer || !answer.inputs) {
        this.said.textContent = "The link needs the calculators, which could not start.";
        return;
      }
      const given = Object.entries(answer.inputs);
      const other = given.filter(([name, text]) => text !== this.printed[name]);
      const query = new URLSearchParams(
        (other.length ? other : given.slice(0, 1)).map(([name, text]) => [`${this.place}.${name}`, text]),
      );
      const link = new URL(location.href);
      link.search = query.toString();
      link.hash = this.place;
      /* A page opened from a folder may not change its own address. */
      try { history.replaceState(history.state, "", link); } catch { /* the link itself still works */ }
      const reach = Guide.onlyHere() ? " It works on this device only: the guide is open from this device." : "";
      try {
        await navigator.clipboard.writeText(link.href);
        this.said.textContent = `Link copied. It holds the numbers you see.${reach}`;
      } catch {
        const look = { type: "text", readonly: "", "aria-label": "Link with your numbers" };
        const shown = make("input", { ...look, value: link.href });
        this.said.replaceChildren("Copy this link: ", shown, reach);
        shown.focus();
        shown.select();
      }
    }

    /* -- numbers from the address or from the last visit -- */

    /* The engine is up again after a failure: what it owes us is asked for once more. */
    again() {
      const { unanswered } = this;
      this.unanswered = null;
      if (unanswered) unanswered();
    }

    linked() {
      const found = {};
      for (const [name, text] of new URLSearchParams(location.search)) {
        if (name.startsWith(`${this.place}.`)) found[name.slice(this.place.length + 1)] = text;
      }
      return found;
    }

    /* The address carries numbers of this form no longer: opened again, the page shows the reader's own. */
    clearAddress() {
      const names = Object.keys(this.linked());
      if (!names.length) return;
      const link = new URL(location.href);
      for (const name of names) link.searchParams.delete(`${this.place}.${name}`);
      try { history.replaceState(history.state, "", link); } catch { /* a page from a folder keeps its address */ }
    }

    open() {
      this.base = this.based();
      const linked = this.linked();
      if (Object.keys(linked).length) return this.openLink(linked);
      this.openMine();
      if (!same(this.printed, this.texts())) this.changedOnceReady();
      if (this.base !== this.printed) this.tell();
    }

    async openLink(linked) {
      this.visiting = true;
      this.stale(`${this.whose} ${COMES}`);
      const answer = await this.request("open", { inputs: linked, system: "us" });
      if (!this.visiting) return;
      if (!answer || !answer.inputs) {
        this.unanswered = () => this.openLink(linked);
        this.stale("The numbers of this link could not be read, since the calculators did not start. "
          + "The answer below is for the printed numbers.");
        return;
      }
      const usable = Object.keys(answer.inputs).length > 0;
      notUsed(this.section, Object.values(answer.refused), usable
        ? "Part of this link could not be used. The printed numbers are used in its place:"
        : "This link could not be used:");
      if (usable) this.put(answer.inputs);
      else this.openMine();
      /* The reader's own link, opened again. */
      if (same(this.texts(), { ...this.base, ...this.kept() })) this.visiting = false;
      this.tell();
      await this.changed();
    }
  }

  /* A list of what an address held that could not be used. Always as text. */
  function notUsed(before, lines, told) {
    if (!lines.length) return;
    const list = make("ul", {}, ...lines.map((line) => make("li", {}, line)));
    before.before(make("div", { class: "notice", "data-not-used": "" }, make("p", {}, told), list));
  }

  function reportStrays() {
    const places = forms().map((form) => form.place);
    const strays = [...new URLSearchParams(location.search).keys()].filter(
      (name) => !KEPT_BY_SEARCH.has(name) && !places.includes(name.split(".")[0]),
    );
    const first = document.querySelector("[data-calculator]");
    const lines = strays.map((name) => `“${name.slice(0, 60)}” names no calculator of this page.`);
    if (first) notUsed(first, lines, "Part of this link could not be used:");
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
    reportStrays();
    showEngine();
    for (const section of fresh) live.get(section).open();
    startWhenIdle();
  }

  Object.assign(Guide, { forms, form: (section) => live.get(section) });
  document.addEventListener("guide-engine", showEngine);
  document.addEventListener("guide-engine", askWaiting);
  document.addEventListener("guide-mine", () => { for (const form of forms()) form.followMine(); });
  Guide.onPage(mount);
})();
