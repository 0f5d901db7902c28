/* The form of one record: filling it, reading it, what Python says beside its fields. */
(function () {
  "use strict";
  if (!window.GuideRecord) return;

  const NOT_TEXT = /[\p{Cc}\p{Cs}\u202a-\u202e\u2066-\u2069]/gu;
  const LOUD = '[data-level="stop"], [data-unreadable]';

  const clean = (text) => text.replace(NOT_TEXT, "");

  class RecordForm {
    /* `changed` is called at every change of the record, `bare` when bare numbers shall mean another system. */
    constructor(template, changed, bare) {
      this.changed = changed;
      this.element = template.content.firstElementChild.cloneNode(true);
      this.bare = this.element.querySelector("[data-bare]");
      this.nameField = this.element.querySelector("[data-name]");
      this.fields = [...this.element.querySelectorAll("[data-field]")];
      const toBare = (event) => event.target === this.bare;
      this.element.addEventListener("submit", (event) => event.preventDefault());
      this.element.addEventListener("input", (event) => toBare(event) || changed());
      this.element.addEventListener("change", (event) => (toBare(event) ? bare(this.bare) : changed()));
      this.element.addEventListener("click", (event) => this.clicked(event));
      this.element.addEventListener("focusin", (event) => this.approach(event.target.closest("[data-field]")));
    }

    /* A compact form shows help and limits of the field at hand. They stay until another field is, so that nothing
       moves under a finger on its way to a button. */
    approach(field) {
      if (!field || field === this.near) return;
      if (this.near) this.near.classList.remove("near");
      this.near = field;
      field.classList.add("near");
    }

    set name(text) {
      this.nameField.value = text;
    }

    /* -- filling -- */

    fill(record) {
      this.name = record.name;
      this.bare.value = record.bare_numbers;
      for (const field of this.fields) {
        const rows = field.querySelector("[data-rows]");
        if (rows) this.fillRows(rows, record.rows[rows.dataset.rows] || []);
        else this.put(field.querySelector("[data-input]"), record.values[field.dataset.field] || "");
      }
      this.count();
    }

    /* A text that its list or calendar does not know is kept and shown, never dropped. */
    put(control, text) {
      if (control.tagName === "SELECT" && text && ![...control.options].some((option) => option.value === text)) {
        control.append(Guide.make("option", { value: text }, `${text} (not known here)`));
      }
      if (control.type === "date" && text && !/^\d{4}-\d{2}-\d{2}$/.test(text)) control.type = "text";
      if (document.activeElement !== control || control.value !== text) control.value = text;
    }

    fillRows(rows, data) {
      for (const row of rows.querySelectorAll("[data-row]")) row.remove();
      for (const cells of data) {
        for (const control of this.addRow(rows).querySelectorAll("[data-input]")) {
          if (cells[control.dataset.input] !== undefined) this.put(control, cells[control.dataset.input]);
        }
      }
    }

    addRow(rows) {
      const number = rows.querySelectorAll("[data-row]").length + 1;
      const row = Guide.addRow(rows, number);
      row.querySelector("[data-row-number]").textContent = number;
      const remove = `Remove ${row.querySelector(".row-name").textContent}`;
      row.querySelector("[data-remove-row]").setAttribute("aria-label", remove);
      return row;
    }

    /* The rows that stay get new numbers. */
    removeRow(rows, row) {
      const place = [...rows.querySelectorAll("[data-row]")].indexOf(row);
      const before = this.rowsOf(rows);
      this.fillRows(rows, before.filter((_, index) => index !== place));
      (rows.querySelector("[data-row] [data-input]") || rows.querySelector("[data-add-row]")).focus();
      return () => {
        const now = this.rowsOf(rows);
        this.fillRows(rows, [...now.slice(0, place), before[place], ...now.slice(place)]);
      };
    }

    clicked(event) {
      if (Guide.pressed(event, (rows) => this.addRow(rows), (rows, row) => this.removeRow(rows, row))) this.changed();
    }

    /* -- reading -- */

    /* A copy of the record with what the form holds. */
    read(record) {
      const read = { ...GuideRecord.copyOf(record), name: clean(this.nameField.value), values: {}, rows: {} };
      for (const field of this.fields) {
        const rows = field.querySelector("[data-rows]");
        const found = rows ? this.rowsOf(rows) : clean(field.querySelector("[data-input]").value);
        if (!found.length) continue;
        if (rows) read.rows[rows.dataset.rows] = found;
        else read.values[field.dataset.field] = found;
      }
      return read;
    }

    rowsOf(rows) {
      return [...rows.querySelectorAll("[data-row]")].map((row) => {
        const cells = [...row.querySelectorAll("[data-input]")];
        const texts = cells.map((control) => [control.dataset.input, clean(control.value)]);
        return Object.fromEntries(texts.filter(([, text]) => text));
      });
    }

    /* How much of each section is filled in. */
    count() {
      const filled = (field) => (field.querySelector("[data-rows]")
        ? field.querySelector("[data-row]") : field.querySelector("[data-input]").value);
      for (const section of this.element.querySelectorAll("[data-section]")) {
        const fields = [...section.querySelectorAll("[data-field]")];
        section.querySelector("[data-count]").textContent = `${fields.filter(filled).length} of ${fields.length}`;
      }
    }

    /* -- what Python says -- */

    draw({ said, read }) {
      for (const place of this.element.querySelectorAll("[data-said]")) {
        const html = said[place.dataset.said] || "";
        if (place.lastHtml !== html) place.innerHTML = guideHTML(html);
        place.lastHtml = html;
        const field = place.closest(".cell") || place.closest("[data-field]");
        const control = field.querySelector("[data-input]");
        if (control && !field.querySelector("[data-rows]")) {
          Guide.markInvalid([control], html.includes("data-unreadable"));
        }
      }
      for (const place of this.element.querySelectorAll("[data-read]")) {
        place.innerHTML = guideHTML(read[place.dataset.read] || "");
      }
      for (const section of this.element.querySelectorAll("[data-section]")) {
        const count = section.querySelectorAll(LOUD).length;
        section.querySelector("summary").dataset.flags = count ? `${count} flagged` : "";
      }
    }
  }

  Object.assign(GuideRecord, { RecordForm, clean });
})();
