/* The glue between the forms of the guide and its Python. No formula, limit or table value stands here:
   what a field means, whether it can be used and what the answer is, Python says.

   Every part mounts by `mount(root)`, which may be called again on the same page: the theme's instant
   navigation swaps the page's content and calls it anew. */
(function () {
  "use strict";

  const UNITS_KEY = "guide.units";
  const SPEAK_AFTER_MS = 700;
  const WHOLE_AFTER_MS = 150;
  const KEPT_BY_SEARCH = new Set(["q", "h"]);

  /* Storage may be closed to us (private windows, folders) or full: then things hold for this visit, and `trouble` says so. */
  const visit = new Map();
  const store = {
    trouble: "",
    get(key) {
      if (visit.has(key)) return visit.get(key);
      try { return localStorage.getItem(key); } catch { return null; }
    },
    set(key, value) {
      try {
        localStorage.setItem(key, value);
        visit.delete(key);
        this.trouble = "";
      } catch (error) {
        visit.set(key, value);
        const why = error && error.name === "QuotaExceededError" ? "has no room left" : "keeps nothing for this page";
        this.trouble = `This browser ${why}: your numbers last until you close the page. Copy the link to keep them.`;
      }
    },
    remove(key) {
      visit.delete(key);
      try { localStorage.removeItem(key); } catch { /* the page works without */ }
    },
  };

  function make(tag, attributes, ...children) {
    const made = document.createElement(tag);
    for (const [name, value] of Object.entries(attributes || {})) {
      if (name === "onclick") made.addEventListener("click", value);
      else made.setAttribute(name, value);
    }
    made.append(...children);
    return made;
  }

  /* --- units ---------------------------------------------------------------- */

  const CHOICES = [["us", "US"], ["si", "SI"], ["both", "Both"]];

  function shownUnits() {
    const kept = store.get(UNITS_KEY);
    return CHOICES.some(([value]) => value === kept) ? kept : "us";
  }

  /* The system a bare number is read in. */
  function readingSystem() {
    return shownUnits() === "si" ? "si" : "us";
  }

  function showUnits(value) {
    document.documentElement.dataset.units = value;
    for (const input of document.querySelectorAll('.units input[name="units"]')) input.checked = input.value === value;
  }

  async function switchUnits(value) {
    /* A bare 3/8 means inches before the switch and must mean inches after it. */
    await Promise.all(mounted().map((calculator) => calculator.writeUnitsOut()));
    store.set(UNITS_KEY, value);
    showUnits(value);
    for (const calculator of mounted()) calculator.changed();
  }

  function mountUnits() {
    showUnits(shownUnits());
    const header = document.querySelector(".md-header__inner");
    if (!header || header.querySelector(".units")) return;
    const group = make("fieldset", { class: "units" }, make("legend", { class: "visually-hidden" }, "Units of the answers"));
    for (const [value, words] of CHOICES) {
      const input = make("input", { type: "radio", name: "units", value, id: `units-${value}` });
      input.addEventListener("change", () => switchUnits(value));
      group.append(input, make("label", { for: `units-${value}` }, words));
    }
    header.querySelector(".md-header__title").after(group);
    showUnits(shownUnits());
  }

  /* --- a calculator --------------------------------------------------------- */

  const live = new WeakMap();

  function mounted() {
    return [...document.querySelectorAll("[data-calculator]")].map((section) => live.get(section)).filter(Boolean);
  }

  class Calculator {
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
      this.notKept = "";
      this.form.addEventListener("submit", (event) => event.preventDefault());
      this.form.addEventListener("input", () => this.changed());
      this.form.addEventListener("change", () => this.changed());
      this.form.addEventListener("click", (event) => this.clicked(event));
      /* Whoever touches the form will ask soon: the engine starts, and has worked this form out once before the first change. */
      for (const kind of ["focusin", "pointerdown"]) section.addEventListener(kind, () => this.warmUp(), { once: true });
      this.addTools();
    }

    /* -- what the fields hold -- */

    field(name) {
      return this.form.querySelector(`[data-field="${CSS.escape(name)}"]`);
    }

    texts() {
      const texts = {};
      for (const field of this.form.querySelectorAll("[data-field]")) {
        const rows = field.querySelector("[data-rows]");
        texts[field.dataset.field] = rows
          ? [...rows.querySelectorAll("[data-row]")].map((row) => [...row.querySelectorAll("input, select")].map((cell) => cell.value).join(" | ")).join("\n")
          : field.querySelector("input, select").value;
      }
      return texts;
    }

    fill(texts) {
      for (const [name, text] of Object.entries(texts)) {
        const field = this.field(name);
        if (!field) continue;
        const rows = field.querySelector("[data-rows]");
        if (rows) this.fillRows(rows, text);
        else field.querySelector("input, select").value = text;
      }
    }

    fillRows(rows, text) {
      for (const row of rows.querySelectorAll("[data-row]")) row.remove();
      for (const line of text.split(/[\n;]/)) {
        if (!line.trim()) continue;
        const cells = line.split("|");
        const row = this.addRow(rows);
        row.querySelectorAll("input, select").forEach((cell, index) => {
          if (cells[index] !== undefined && cells[index].trim() !== "") cell.value = cells[index].trim();
        });
      }
    }

    addRow(rows) {
      this.rowNumber = (this.rowNumber || 1000) + 1;
      const template = rows.querySelector("template");
      const row = template.content.firstElementChild.cloneNode(true);
      for (const marked of row.querySelectorAll("[id], [for]")) {
        for (const name of ["id", "for"]) {
          if (marked.hasAttribute(name)) marked.setAttribute(name, marked.getAttribute(name).replace("NUMBER", this.rowNumber));
        }
      }
      template.before(row);
      return row;
    }

    clicked(event) {
      const button = event.target.closest("button");
      if (!button) return;
      if (button.dataset.fill !== undefined) {
        const input = button.closest("[data-field]").querySelector("input");
        input.value = button.dataset.fill;
        this.changed();
      } else if (button.hasAttribute("data-add-row")) {
        const rows = button.closest("[data-rows]");
        if (rows.querySelectorAll("[data-row]").length < Number(rows.dataset.most)) {
          this.addRow(rows).querySelector("input, select").focus();
          this.changed();
        }
      } else if (button.hasAttribute("data-remove-row")) {
        const rows = button.closest("[data-rows]");
        if (rows.querySelectorAll("[data-row]").length > Number(rows.dataset.fewest)) {
          const next = button.closest("[data-row]").nextElementSibling;
          button.closest("[data-row]").remove();
          (next && next.querySelector("input, select, button") || rows.querySelector("[data-add-row]")).focus();
          this.changed();
        }
      }
    }

    /* -- asking and drawing -- */

    /* Python's answer, or null where the engine could not start or was stopped. */
    async request(what, inputs = this.texts(), system = readingSystem()) {
      const answer = await GuideEngine.call({ do: what, calculator: this.id, place: this.place, inputs, system });
      return answer && answer.ok !== false ? answer : null;
    }

    async changed() {
      const texts = JSON.stringify(this.texts());
      store.set(this.key, texts);
      if (store.trouble !== this.notKept) this.said.textContent = store.trouble;
      this.notKept = store.trouble;
      /* Leaving a field repeats what typing in it told; the answer on the page must not be drawn anew for that. */
      const question = texts + readingSystem();
      if (question === this.question) return;
      this.question = question;
      const asked = ++this.asked;
      this.stale(GuideEngine.state === "ready" ? null : "Your numbers are kept. Their answer comes as soon as the calculators are up.");
      const answer = await this.request("quick");
      if (asked !== this.asked) return;
      if (!answer) {
        this.question = null;
        this.unanswered = () => this.changed();
        this.stale("Your numbers are kept, but their answer could not be worked out here. The answer below belongs to other numbers.");
        return;
      }
      this.draw(answer);
      this.speak(answer.spoken ? answer.spoken[readingSystem()] : Object.values(answer.errors || {}).join(" "));
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
      this.question = null;
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
      if (answer.trouble) {
        this.stale(answer.trouble);
        return;
      }
      this.section.dispatchEvent(new CustomEvent("guide-answered", { bubbles: true, detail: answer }));
      for (const field of this.form.querySelectorAll("[data-field]")) {
        const name = field.dataset.field;
        this.drawError(field, answer.errors[name] || "");
        if (answer.read && name in answer.read) field.querySelector("[data-read]").innerHTML = guideHTML(answer.read[name]);
      }
      if (answer.pieces === undefined) {
        this.stale("The answer below belongs to the last numbers that could be used.");
        return;
      }
      this.drawAnswer(answer);
      this.stale("");
    }

    /* Renews the sentence and each piece that is another than the one shown. Pieces that a quick answer leaves out stay, marked. */
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

    drawError(field, message) {
      const line = field.querySelector("[data-error]");
      if (line.textContent !== message) line.textContent = message;
      for (const input of field.querySelectorAll("input, select")) {
        if (message) input.setAttribute("aria-invalid", "true");
        else input.removeAttribute("aria-invalid");
      }
    }

    /* Words: the answer is stale and why. "": it is fresh. null: it is being worked out, leave it as it is. */
    stale(words) {
      if (words === null) return;
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
      this.speaking = setTimeout(() => {
        if (this.spoken.textContent !== sentence) this.spoken.textContent = sentence;
      }, SPEAK_AFTER_MS);
    }

    async writeUnitsOut() {
      if (GuideEngine.state !== "ready" && !store.get(this.key)) return;
      const answer = await this.request("link");
      if (answer && answer.inputs) this.fill(answer.inputs);
    }

    /* -- tools under the form -- */

    addTools() {
      const tools = make("div", { class: "tools" });
      const copy = make("button", { type: "button", "data-copy": "", onclick: () => this.copyLink() }, "Copy link");
      const reset = make("button", { type: "button", "data-reset": "", onclick: () => this.reset() }, "Back to the printed numbers");
      this.said = make("p", { class: "said", role: "status" });
      tools.append(copy, reset, this.said);
      this.form.append(tools);
    }

    reset() {
      this.fill(this.printed);
      this.question = null;
      this.changed();
      store.remove(this.key);
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
      await this.giveLink(link.href);
    }

    async giveLink(href) {
      try {
        await navigator.clipboard.writeText(href);
        this.said.textContent = "Link copied. It holds the numbers you see.";
      } catch {
        const shown = make("input", { type: "text", readonly: "", "aria-label": "Link with your numbers", value: href });
        this.said.replaceChildren("Copy this link: ", shown);
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

    async open() {
      const linked = this.linked();
      if (Object.keys(linked).length) return this.openLink(linked);
      const kept = this.kept();
      if (!kept || JSON.stringify(kept) === JSON.stringify(this.printed)) return undefined;
      this.fill(kept);
      return this.changed();
    }

    linked() {
      const linked = {};
      for (const [name, text] of new URLSearchParams(location.search)) {
        if (name.startsWith(`${this.place}.`)) linked[name.slice(this.place.length + 1)] = text;
      }
      return linked;
    }

    kept() {
      try {
        const kept = JSON.parse(store.get(this.key));
        return kept && typeof kept === "object" && Object.values(kept).every((text) => typeof text === "string") ? kept : null;
      } catch {
        return null;
      }
    }

    async openLink(linked) {
      this.stale("This link carries its own numbers. Their answer comes as soon as the calculators are up.");
      const answer = await this.request("open", linked, "us");
      if (!answer || !answer.inputs) {
        this.unanswered = () => this.openLink(linked);
        this.stale("The numbers of this link could not be read, since the calculators did not start. The answer below is for the printed numbers.");
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
    const list = make("ul", {});
    for (const line of lines) list.append(make("li", {}, line));
    before.before(make("div", { class: "notice", "data-not-used": "" }, make("p", {}, "Part of this link could not be used. The printed numbers stand there instead:"), list));
  }

  function reportStrays(root) {
    const places = mounted().map((calculator) => calculator.place);
    const strays = [...new URLSearchParams(location.search).keys()].filter(
      (name) => !KEPT_BY_SEARCH.has(name) && !places.includes(name.split(".")[0]),
    );
    const first = root.querySelector("[data-calculator]");
    if (first) notUsed(first, strays.map((name) => `“${name.slice(0, 60)}” names no calculator of this page.`));
  }

  /* --- the engine's state, in words --------------------------------------------- */

  function showEngine() {
    for (const { engineLine: line } of mounted()) {
      line.dataset.state = GuideEngine.state;
      if (GuideEngine.state === "failed") {
        const retry = make("button", { type: "button", onclick: tryAgain }, "Try again");
        line.replaceChildren(GuideEngine.reason, " ", retry);
      } else {
        line.textContent = engineWords();
      }
    }
  }

  async function tryAgain() {
    if (await GuideEngine.retry()) for (const calculator of mounted()) calculator.again();
  }

  function engineWords() {
    if (GuideEngine.state === "ready") return "Live: every change answers at once.";
    if (GuideEngine.state === "loading") {
      const { loaded = 0, total = 0, step = "" } = GuideEngine.progress || {};
      const share = total ? ` ${Math.min(99, Math.floor((100 * loaded) / total))} %` : "";
      return `Getting the calculators ready: ${step}${share}`;
    }
    return "Change a number and the answer follows.";
  }

  /* A link may point into something folded. */
  function openTarget() {
    const target = location.hash.length > 1 && document.getElementById(decodeURIComponent(location.hash.slice(1)));
    if (!target) return;
    for (let fold = target.closest("details"); fold; fold = fold.parentElement.closest("details")) fold.open = true;
  }

  /* --- whether the guide is kept for use without a network ------------------------- */

  function showOffline() {
    const offline = window.GuideOffline;
    for (const place of document.querySelectorAll("[data-offline-status]")) {
      if (offline) place.replaceChildren(...offlineWords(offline));
    }
  }

  function offlineWords({ state, detail }) {
    const line = make("p", { role: "status" });
    const off = make("button", { type: "button", class: "plain-button", onclick: () => window.GuideOffline.off() }, "Remove the saved copy");
    const on = make("button", { type: "button", class: "plain-button", onclick: () => window.GuideOffline.on() }, "Save the guide in this browser");
    const told = {
      unsupported: () => [`Not saved here: ${detail.reason}.`],
      caching: () => [detail.total ? `Saving: ${Math.floor((100 * detail.done) / detail.total)} %.` : "Saving the guide."],
      ready: () => [detail.damaged ? `Saved, but the kept file ${detail.damaged} is damaged and was not used. Connect to the network and open the guide again: it is then fetched anew.`
        : detail.behind ? `Saved. You can use this guide without a network. A newer version could not be saved: ${detail.behind}. You go on with the one you have.`
          : "Saved. You can use this guide without a network."],
      "update-ready": () => ["Saved, and a new version is ready."],
      off: () => ["Not saved. You removed the copy."],
      failed: () => [`Not saved: ${detail.reason}. The guide still works with the network. Try again here, or on your next visit.`],
    }[state] || (() => [""]);
    line.append(...told());
    if (state === "ready" || state === "update-ready") return [line, off];
    if (state === "off" || state === "failed") return [line, on];
    return [line];
  }

  /* --- mounting ------------------------------------------------------------------- */

  function mount(root) {
    mountUnits();
    const fresh = [];
    for (const section of root.querySelectorAll("[data-calculator]")) {
      if (live.has(section)) continue;
      const calculator = new Calculator(section);
      live.set(section, calculator);
      fresh.push(calculator);
    }
    showOffline();
    openTarget();
    if (!fresh.length || !window.GuideEngine) return;
    reportStrays(root);
    showEngine();
    for (const calculator of fresh) calculator.open();
    startWhenIdle();
  }

  /* Served, one engine serves every page, so it is worth having early. In a folder each page boots its own:
     there it waits for the first touch. */
  function startWhenIdle() {
    if (location.protocol === "file:") return;
    const start = () => GuideEngine.start();
    const idle = () => (window.requestIdleCallback ? requestIdleCallback(start, { timeout: 4000 }) : setTimeout(start, 1500));
    if (document.readyState === "complete") idle();
    else window.addEventListener("load", idle, { once: true });
  }

  /* What other scripts of the page may ask of a form: its texts, the system a bare number is read in, and to follow or draw. */
  window.GuideForms = {
    texts: (section) => live.get(section).texts(),
    system: readingSystem,
    move: (section) => live.get(section).move(),
    draw: (section, answer) => live.get(section).drawAnswer(answer),
  };

  document.documentElement.dataset.units = shownUnits();
  document.addEventListener("guide-engine", showEngine);
  document.addEventListener("guide-offline", showOffline);
  window.addEventListener("hashchange", openTarget);
  /* The theme announces each page; should its script fail, the page announces itself. */
  if (window.document$) window.document$.subscribe(() => mount(document));
  if (document.readyState === "loading") document.addEventListener("DOMContentLoaded", () => mount(document));
  else mount(document);
})();
