/* Which numbers stand in the fields of a form, and where they come from. Three layers: the printed ones, over them
   those of the reader's own test (`base`), over them what was changed away, which alone is kept. The numbers of a link
   stand for a visit and touch none of these. A form tells by the event `guide-numbers` that its numbers are others, or
   come from elsewhere; form-mine.js shows where from. */
(function () {
  "use strict";
  const { numbers, system } = Guide;

  const CONTROLS = "input, select";

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

  class FormNumbers {
    constructor(section) {
      this.section = section;
      this.id = section.dataset.calculator;
      this.place = section.id;
      this.form = section.querySelector("form");
      this.printed = this.texts();
      this.base = this.printed;
      this.told = this.printed;
      /* The numbers of a link stand here, and nothing is kept. */
      this.visiting = false;
      /* What is written in another way than in the test and means the same, as Python says. */
      this.alike = {};
      this.key = `guide.inputs.${location.pathname.split("/").pop() || "index.html"}#${this.place}`;
      /* Kept while the form stood on another page. */
      this.keyBefore = `guide.inputs.${section.dataset.stoodOn}#${this.place}`;
      this.notKept = "";
    }

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

    /* Whether the reader's own numbers stand here. */
    isMine() {
      return same(this.texts(), { ...this.base, ...this.kept().changed });
    }

    /* What was kept, and the system that its bare numbers were typed in. */
    kept() {
      try {
        const { changed, system: typed, ...all } = JSON.parse(numbers.get(this.key) || numbers.get(this.keyBefore));
        /* Version 0.2 and older kept every field. */
        const found = Object.entries(changed || all).filter(([name, text]) => changed || text !== this.printed[name]);
        const whole = found.every(([, text]) => typeof text === "string");
        return { changed: whole ? Object.fromEntries(found) : {}, typed: changed && typed };
      } catch {
        return { changed: {} };
      }
    }

    keep() {
      const away = this.away();
      if (Object.keys(away).length) numbers.set(this.key, JSON.stringify({ changed: away, system: system() }));
      else numbers.remove(this.key);
      numbers.remove(this.keyBefore);
      if (numbers.trouble !== this.notKept) this.said.textContent = numbers.trouble;
      this.notKept = numbers.trouble;
    }

    tell() {
      const texts = this.texts();
      const detail = { other: !same(texts, this.told) };
      this.told = texts;
      this.section.dispatchEvent(new CustomEvent("guide-numbers", { bubbles: true, detail }));
    }
  }

  Object.assign(FormNumbers, { same, addRow });
  Guide.FormNumbers = FormNumbers;
})();
