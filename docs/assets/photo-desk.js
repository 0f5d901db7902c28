/* The desk of the page Measure on a photo: chooses and keeps the picture, gives the marks to the calculator's form, and
   hands sizes on. Python says how many marks there are, what they are called, what they measure and where a size may
   go. The picture is drawn anew before anything else is done with it, which leaves all hidden lines behind. */
(function () {
  "use strict";
  const { make, plainButton: button, local } = Guide;

  const OF = "guide.photo.of";
  const LISTS = ["reference_marks", "marks"];
  const QUALITY = 0.85;
  const MOST_UNDO = 50;

  /* Where the picture lies. */
  class Pictures {
    async open() {
      const idb = await Guide.library("idb");
      this.db = await idb.openDB("guide-photo", 1, { upgrade(db) { db.createObjectStore("pictures"); } });
    }
    get(name) { return this.db.get("pictures", name); }
    put(now) { return this.db.put("pictures", now, "now"); }
  }

  const rowsOf = (text) => text.split("\n").filter((line) => line.trim())
    .map((line) => line.split("|").map((cell) => Number(cell)));

  class Desk {
    constructor(section) {
      this.section = section;
      this.form = Guide.form(section);
      this.names = {};
      this.undone = [];
      this.stage = new GuidePhoto.Stage((...what) => this.moved(...what));
      this.said = Guide.status({ class: "photo-said" });
      /* Marks that were moved since they were laid out anew. */
      this.moves = new Set();
      this.ready = button("Every mark is at its place", () => this.form.take({ placed: "yes" }));
      this.result = make("p", { class: "photo-result" });
      this.tools = make("div", { class: "photo-bar", role: "group", "aria-label": "Zoom and undo" },
        button("Closer", () => this.stage.closer(1)), button("Wider", () => this.stage.closer(-1)),
        button("Whole picture", () => this.stage.fit()),
        this.undo = button("Undo the last move", () => this.back(), { disabled: "" }));
      this.records = make("select", { id: "photo-record" });
      this.goes = make("div", { class: "photo-bar" },
        this.send = button("", () => this.handOn()),
        make("div", { class: "field" }, make("label", { for: "photo-record" }, "Test-day record"), this.records),
        this.into = button("Put it into the record", () => this.intoRecord()),
        button("Save the marked picture", () => this.save()));
      this.work = make("div", { hidden: "" }, this.tools, this.stage.element, this.result, this.ready, this.goes);
      this.desk = make("section", { class: "photo-desk", "aria-label": "Your picture" },
        make("div", { class: "photo-bar" },
          this.picker("Take a picture", { capture: "environment" }), this.picker("Choose a picture", {})),
        make("p", {}, "What it is for and what the reference is, you say ",
          make("a", { href: `#${section.id}` }, "in the form below"), "."),
        this.said, this.work);
      section.before(this.desk);
      section.addEventListener("guide-numbers", () => this.read());
      section.addEventListener("guide-answered", () => this.show());
      section.addEventListener("change", (event) => {
        const field = event.target.closest("[data-field]");
        if (field && ["reference", "what", "purpose"].includes(field.dataset.field)) this.chosen();
      });
    }

    picker(words, more) {
      const input = make("input", { type: "file", accept: "image/*", class: "visually-hidden", ...more });
      input.addEventListener("change", async () => {
        const [file] = input.files;
        if (file) await this.take(file);
        input.value = "";
      });
      return make("label", { class: "plain-button photo-pick" }, words, input);
    }

    tell(...parts) {
      this.said.replaceChildren(...parts);
    }

    async open() {
      this.forAddress();
      this.pictures = new Pictures();
      try {
        await this.pictures.open();
        const kept = await this.pictures.get("now");
        if (kept) await this.put(kept);
        this.read();
      } catch {
        this.pictures = null;
        this.tell("This browser keeps no pictures for this page: yours lasts until you close it.");
      }
      await this.chosen(this.picture && local.get(OF) !== this.picture.id);
      this.desk.dataset.ready = "";
    }

    /* photo.html#photo-measure?for=bend-judge */
    forAddress() {
      const found = /^#photo-measure\?for=([a-z-]{1,30})$/.exec(location.hash);
      if (!found) return;
      Guide.setAddress("#photo-measure");
      this.form.take({ purpose: found[1] });
      this.desk.scrollIntoView();
    }

    /* -- the picture -- */

    async take(file) {
      let drawn;
      this.tell("Reading the picture.");
      try {
        drawn = await GuideRecord.shrink(file);
      } catch {
        this.tell(`“${file.name.slice(0, 60)}” is not a picture that this browser can read. `
          + "Most browsers can't read HEIC: save it as JPEG. Nothing was changed.");
        return;
      }
      const before = this.picture && { ...this.picture, marks: this.marksTexts() };
      await this.change({ id: GuideRecord.identifier("p"), ...drawn });
      const undo = before ? [" ", button("Back to the picture before", () => this.backTo(before))] : [];
      if (this.notKept) return;
      this.tell("The picture is on this device only, without the place where it was taken.", ...undo);
    }

    marksTexts() {
      const { reference_marks, marks, placed, picture_width, picture_height } = this.form.texts();
      return { reference_marks, marks, placed, picture_width, picture_height };
    }

    async change(picture) {
      this.notKept = "";
      /* Marks of another picture say nothing of this one. */
      this.undone = [];
      this.undo.disabled = true;
      this.form.take({ placed: "no" });
      try {
        if (!this.pictures) throw new Error("closed");
        await this.pictures.put(picture);
      } catch (error) {
        this.notKept = Guide.isFull(error) ? "has no room left" : "keeps no pictures for this page";
        this.tell(`This browser ${this.notKept}: your picture lasts until you close the page.`);
      }
      await this.put(picture);
      await this.chosen(true);
    }

    async put(picture) {
      this.work.hidden = false;
      this.picture = picture;
      await this.stage.show(picture);
    }

    async backTo({ marks, ...picture }) {
      await this.change(picture);
      this.form.take(marks);
      this.tell("The picture before is back, with its marks.");
    }

    /* -- marks -- */

    /* What Python says of the marks for these choices; `fresh`: a new picture, whose marks lie where they start. */
    async chosen(fresh = false) {
      const size = this.picture ? { width: this.picture.width, height: this.picture.height } : {};
      const told = await GuideEngine.call({ ...this.form.question(), do: "photo-marks", fresh, ...size });
      if (!told || !told.names) return this.read();
      this.names = told.names;
      this.send.textContent = told.goes;
      this.send.hidden = !told.goes;
      for (const field of this.section.querySelectorAll("[data-field]")) {
        field.classList.toggle("photo-unused", !told.used.includes(field.dataset.field));
      }
      const now = this.form.texts();
      if (told.inputs.placed) this.moves.clear();
      if (Object.entries(told.inputs).some(([name, text]) => now[name] !== text)) this.form.take(told.inputs);
      if (this.picture) local.set(OF, this.picture.id);
      return this.read();
    }

    /* The form's numbers as marks. */
    read() {
      if (this.stage.held || !this.picture) return;
      const texts = this.form.texts();
      this.ready.hidden = texts.placed !== "no";
      const marks = LISTS.flatMap((list) => rowsOf(texts[list]).map(([x, y], index) => ({
        list, x, y, ...((this.names[list] || [])[index] || { name: "", short: String(index + 1) }),
      })));
      if (marks.every(({ x, y }) => Number.isFinite(x) && Number.isFinite(y))) this.stage.setMarks(marks);
    }

    moved(marks, done, which) {
      const texts = Object.fromEntries(LISTS.map((list) => [list,
        marks.filter((mark) => mark.list === list).map(({ x, y }) => `${x} | ${y}`).join("\n")]));
      if (!this.before) this.before = this.marksTexts();
      this.moves.add(which);
      if (done && marks.every((mark) => this.moves.has(mark))) this.form.put({ placed: "yes" });
      this.form.put(texts);
      if (!done) {
        this.form.move();
        return;
      }
      this.undone = [...this.undone, this.before].slice(-MOST_UNDO);
      this.before = null;
      this.undo.disabled = false;
      this.form.edited();
    }

    back() {
      this.form.take(this.undone.pop());
      this.undo.disabled = !this.undone.length;
    }

    /* -- the answer, and where it goes -- */

    show() {
      this.result.replaceChildren(...[...this.form.headline.childNodes].map((node) => node.cloneNode(true)));
    }

    async ask(request) {
      const told = await GuideEngine.call({ ...this.form.question(), ...request });
      const wrong = !told ? "The calculators did not answer." : told.refused || told.trouble || told.reason;
      if (wrong) this.tell(wrong);
      return wrong ? null : told;
    }

    /* What the other form keeps, with the size put to it. */
    async handOn() {
      const { numbers, system } = Guide;
      const target = await this.ask({ do: "photo-target" });
      if (!target) return;
      const key = `guide.inputs.${target.page}#${target.place}`;
      const before = numbers.get(key);
      let held = {};
      try { held = JSON.parse(before) || {}; } catch { /* a torn line: nothing is kept there */ }
      const kept = { kept: held.changed || {}, kept_system: held.system || system() };
      const told = await this.ask({ do: "photo-hand-on", ...kept });
      if (!told) return;
      numbers.set(key, JSON.stringify({ changed: told.changed, system: system() }));
      const undo = button("Undo", () => {
        if (before) numbers.set(key, before);
        else numbers.remove(key);
        this.tell("It is taken out again.");
      });
      this.tell(`${told.size} is in “${told.title}” now. `,
        make("a", { href: `${told.page}#${told.place}` }, "Go there"), " ", undo, " ", numbers.trouble);
    }

    async listRecords() {
      const { store } = await GuideRecord.openStore();
      this.store = store;
      const entries = (await store.all()).filter(({ deleted, record }) => !deleted && record.kind === "test-day");
      const held = this.records.value;
      const optionOf = ({ id, record }) => make("option", { value: id }, GuideRecord.nameOf(record));
      this.records.replaceChildren(...entries.map(optionOf));
      if (entries.some(({ id }) => id === held)) this.records.value = held;
      this.into.disabled = this.records.disabled = !entries.length;
      if (!entries.length) this.records.append(make("option", { value: "" }, "None on this device yet"));
    }

    async intoRecord() {
      const entry = await this.store.get(this.records.value);
      if (!entry || entry.deleted) return this.tell("That record is no longer on this device.");
      const photo = { id: GuideRecord.identifier("p"), width: this.picture.width, height: this.picture.height };
      const told = await this.ask({ do: "photo-into-record", record: entry.record, photo });
      if (!told) return;
      try {
        await this.store.putPhoto(entry.id, photo.id, this.marked());
        const record = { ...told.record, changed: GuideRecord.moment() };
        const keys = (entry.keys || 0) + 1;
        const { conflict, written } = await this.store.write({ ...entry, record, writer: GuideRecord.TAB, keys });
        if (conflict) throw new Error("another page wrote to it");
        GuideRecord.announce(written);
      } catch (error) {
        await this.store.dropPhoto(entry.id, photo.id).catch(() => {});
        const why = Guide.isFull(error) ? "the browser's storage has no room left" : error.message;
        return this.tell(`Nothing was put into the record: ${why}.`);
      }
      this.tell(`In “${GuideRecord.nameOf(entry.record)}” now, with the marked picture. `,
        make("a", { href: "record.html" }, "Go to the record"));
    }

    /* The picture with its marks and the answer, as JPEG without a word of where it was taken. */
    marked() {
      const { width, height } = this.picture;
      const sheet = make("canvas", { width, height });
      const pen = sheet.getContext("2d");
      pen.drawImage(this.stage.picture, 0, 0, width, height);
      const size = Math.max(14, Math.round(width / 50));
      Object.assign(pen, { lineJoin: "round", font: `bold ${size}px sans-serif` });
      const stroke = (path) => {
        for (const [color, wide] of [["#000", 5], ["#fff", 2]]) {
          Object.assign(pen, { strokeStyle: color, lineWidth: wide });
          pen.beginPath();
          path();
          pen.stroke();
        }
      };
      for (const points of GuidePhoto.shapes(this.stage.marks, 1)) {
        stroke(() => points.forEach(([x, y], index) => (index ? pen.lineTo(x, y) : pen.moveTo(x, y))));
      }
      const write = (words, x, y) => {
        Object.assign(pen, { strokeStyle: "#000", lineWidth: 5, fillStyle: "#fff" });
        pen.strokeText(words, x, y, width - x);
        pen.fillText(words, x, y, width - x);
      };
      for (const { x, y, short } of this.stage.marks) {
        stroke(() => {
          pen.moveTo(x - size, y);
          pen.lineTo(x + size, y);
          pen.moveTo(x, y - size);
          pen.lineTo(x, y + size);
        });
        write(short, x + size / 2, y - size / 2);
      }
      write(this.result.innerText.trim(), size, height - size);
      return sheet.toDataURL("image/jpeg", QUALITY);
    }

    save() {
      const bytes = Uint8Array.from(atob(this.marked().split(",")[1]), (letter) => letter.charCodeAt(0));
      Guide.download("marked-picture.jpg", bytes, "image/jpeg");
    }
  }

  GuidePhoto.open = async (section) => {
    const desk = new Desk(section);
    await Promise.all([desk.open(), desk.listRecords()]);
  };
})();
