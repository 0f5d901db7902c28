/* Setting a class up: the form is one object as the class file holds it, kept in this browser while it is written.
   Python checks it, writes the file, the script and the link, and draws what trainees will see. */
(function () {
  "use strict";
  if (!window.GuideRecord || !window.GuidePractice) return;
  const { make, plainButton: button, numbers, download, ofClass } = Guide;

  const KEY = "guide.class.draft";
  const FORMAT = "plate-test-guide-class";
  const REST_MS = 400;
  const MINUTES = ["10", "15", "20", "30", "45"];
  const LARGEST = 2e6;
  const why = (answer) => answer.refused || answer.reason || answer.trouble || "the calculators gave no answer.";
  /* What Python says to a file; one that cannot be read is refused. */
  async function askOf(file, kind, request) {
    if (file.size > LARGEST) return { refused: `${file.name}: larger than a ${kind} can be` };
    const data = await Guide.bytesOf(file).catch(() => null);
    return data === null ? { refused: `${file.name}: the browser cannot read it` }
      : GuideEngine.call({ ...request, data });
  }

  const bar = (...parts) => make("p", { class: "class-bar" }, ...parts);
  const fresh = () => ({ id: GuideRecord.identifier("c"), shop: "", name: "", words: "", pages: [], questions: {} });

  function kept() {
    try {
      const found = JSON.parse(numbers.get(KEY) || "");
      return found && found.id && Array.isArray(found.pages) && found.questions ? found : null;
    } catch {
      return null;
    }
  }

  class Maker {
    constructor(root) {
      this.root = root;
      this.fields = {};
      this.turn = 0;
      Guide.listenFor(root, document, "guide-mine", () => this.draft && this.drawTest());
      if (kept()) this.open(kept());
      else this.closed();
    }

    closed() {
      this.said = Guide.status();
      this.root.replaceChildren(bar(button("Set a class up", () => this.open(fresh(), true), { "data-class-new": "" })),
        this.picker("class-edit", "Open a class file to change it", ".json,application/json",
          ([file]) => this.edit(file)), this.said);
    }

    picker(id, words, accept, take, more) {
      const input = make("input", { type: "file", id, accept, ...more });
      input.addEventListener("change", () => {
        const files = [...input.files];
        input.value = "";
        if (files.length) take(files);
      });
      return make("div", { class: "field" }, make("label", { for: id }, words), input);
    }

    async edit(file) {
      this.said.textContent = "Reading the class.";
      const answer = await askOf(file, "class file", { do: "class-open" });
      if (this.draft) return; /* a form was opened meanwhile: nothing is put into its place */
      if (!answer.text) {
        this.said.textContent = `Not opened: ${why(answer).replace(/\.$/, "")}.`;
        return;
      }
      const data = JSON.parse(answer.text);
      this.open({ words: "", pages: [], questions: {}, ...data }, true);
    }

    /* -- the form -- */

    open(draft, isNew = false) {
      this.draft = draft;
      this.made = null;
      this.said = Guide.status({ "data-made": "" });
      this.test = make("div");
      this.questions = make("div");
      this.taken = Guide.status();
      this.pages = make("div");
      this.set = make("div", {}, make("p", {}, "The chapters come up when the calculators are ready."));
      this.shown = make("div", { class: "class-shown" });
      this.out = make("div", { class: "class-bar", hidden: true },
        button("Save the class file", () => this.save("class.json", "text", "application/json"),
          { "data-save-class": "" }),
        button("Copy the link", () => this.copy(), { "data-copy-class": "" }),
        button("QR code", () => this.code(), { "data-code-class": "" }),
        button("Save class.js for a folder", () => this.save("class.js", "script", "text/javascript"),
          { "data-save-script": "" }));
      this.code_ = make("div", { class: "class-code" });
      this.told = Guide.status();
      this.root.replaceChildren(
        this.line("name", "Name of the class", "text", { maxlength: "120" }),
        this.line("shop", "Name of the shop", "text", { maxlength: "120" }),
        this.area("words", "Your words to the class", draft.words, (text) => { draft.words = text; }, 4),
        this.group("The test", this.test),
        this.line("day", "Day of the test", "date"),
        this.choice("minutes", "Minutes a day for practice", MINUTES),
        this.group("A set of questions", this.set),
        this.group("Questions of your shop",
          make("p", {}, "Files that end in .toml, as told in ",
            make("a", { href: "own-questions.html#instructors-own" }, "Questions of your shop"), "."),
          this.picker("class-questions-in", "Add question files", ".toml", (files) => this.addQuestions(files),
            { multiple: "" }), this.taken, this.questions),
        this.group("Pages of your shop",
          make("p", {}, "Plain text. A blank line begins a paragraph, “- ” an item of a list, “# ” a heading."),
          this.pages, bar(button("Add a page", () => this.addPage()))),
        this.said, this.out, this.told, this.code_,
        this.group("What your trainees will see", this.shown),
        bar(button("Clear the form", () => this.clear(), { "data-clear-class": "" })));
      this.drawTest();
      this.drawQuestions();
      this.drawPages();
      this.drawSet();
      if (isNew) numbers.set(KEY, JSON.stringify(draft));
      this.make();
    }

    group(words, ...parts) {
      return make("fieldset", { class: "class-part" }, make("legend", {}, words), ...parts);
    }

    line(name, words, type, more) {
      const value = this.draft[name] || "";
      const input = make("input", { type, id: `class-${name}`, autocomplete: "off", value, ...more });
      input.addEventListener("input", () => this.put(name, input.value));
      return this.field(name, words, input);
    }

    choice(name, words, values) {
      const input = make("select", { id: `class-${name}` }, make("option", { value: "" }, "Each trainee's own choice"),
        ...values.map((each) => make("option", { value: each, selected: each === String(this.draft[name]) }, each)));
      input.addEventListener("change", () => this.put(name, Number(input.value) || ""));
      return this.field(name, words, input);
    }

    area(id, words, text, take, rows) {
      const input = make("textarea", { id: `class-${id}`, rows: String(rows) });
      input.value = text;
      input.addEventListener("input", () => { take(input.value); this.changed(); });
      return this.field(id, words, input);
    }

    field(name, words, input) {
      this.fields[name] = input;
      return make("div", { class: "field" }, make("label", { for: input.id }, words), input);
    }

    put(name, value) {
      if (value === "") delete this.draft[name];
      else this.draft[name] = value;
      this.changed();
    }

    /* -- the parts of the form -- */

    drawTest() {
      const mine = Guide.mine.get();
      const { test } = this.draft;
      const parts = [make("p", {}, test ? `In the class: ${test.name || "Test"}` : "No test in the class yet.")];
      if (mine) {
        const words = `Take your test: ${mine.line || mine.name}`;
        parts.push(bar(button(words, () => this.takeTest(mine), { "data-test-in": "" })));
      } else {
        parts.push(make("p", {}, make("a", { href: "your-test.html" }, "Say the test of your WPS"),
          " first, then take it here."));
      }
      if (test) parts.push(bar(button("Leave the test out", () => { this.put("test", ""); this.drawTest(); })));
      this.test.replaceChildren(...parts);
    }

    async takeTest(mine) {
      const { draft } = this;
      const { store } = await GuideRecord.openStore();
      const entry = await store.get(mine.id).catch(() => null);
      if (draft !== this.draft) return;
      if (!entry || entry.deleted) {
        this.told.textContent = `Your test “${mine.name}” is no longer in this browser.`;
        return;
      }
      this.put("test", { ...entry.record, photos: [] });
      this.drawTest();
    }

    async drawSet() {
      const { draft } = this;
      const menu = await GuidePractice.ask("practice-menu", {});
      if (draft !== this.draft) return;
      if (!menu.chapters) {
        this.set.replaceChildren(make("p", { class: "notice" }, menu.trouble));
        return;
      }
      const { chapters = "", count = "10", seed = "1" } = this.draft.set || {};
      const chosen = new Set(chapters.split(","));
      const boxes = menu.chapters.map(({ id, title }) => {
        const box = make("input", { type: "checkbox", value: id, checked: chosen.has(id) });
        return make("label", {}, box, ` ${title}`);
      });
      const size = make("input", { type: "text", inputmode: "numeric", id: "class-count", value: count });
      const number = make("input", { type: "text", id: "class-seed", value: seed, autocomplete: "off" });
      const take = () => {
        const names = boxes.map((label) => label.querySelector("input")).filter((box) => box.checked);
        const made = { ...this.draft.set, chapters: names.map((box) => box.value).join(","), count: size.value,
          seed: number.value };
        if (!names.length) delete made.chapters;
        this.put("set", names.length || made.questions || made.objectives ? made : "");
      };
      this.set.replaceChildren(make("div", { class: "boxes" }, ...boxes),
        this.field("count", "Questions in the set", size),
        this.field("seed", "Number of the set: all who have it get the same questions", number));
      this.set.oninput = take;
    }

    async addQuestions(files) {
      const { draft } = this;
      const refused = [];
      for (const file of files) {
        const { name } = file;
        const answer = await askOf(file, "question file", { do: "class-text", name });
        if (draft !== this.draft) return;
        if (answer.text === undefined) refused.push(`Not added: ${why(answer)}.`);
        else draft.questions[name] = answer.text;
      }
      this.taken.textContent = refused.join(" ");
      this.drawQuestions();
      this.changed();
    }

    drawQuestions() {
      this.questions.replaceChildren(make("ul", {}, ...Object.keys(this.draft.questions).map((name) => make("li", {},
        `${name} `, button("Take it out", () => {
          delete this.draft.questions[name];
          this.drawQuestions();
          this.changed();
        }, { "aria-label": `Take it out: ${name}` })))));
    }

    addPage() {
      this.draft.pages.push({ title: "", text: "" });
      this.drawPages();
      this.fields[`page-${this.draft.pages.length - 1}-title`].focus();
    }

    drawPages() {
      this.pages.replaceChildren(...this.draft.pages.map((page, at) => {
        const look = { type: "text", id: `class-page-${at}-title`, value: page.title, maxlength: "120" };
        const title = make("input", look);
        title.addEventListener("input", () => { page.title = title.value; this.changed(); });
        const remove = () => {
          const [gone] = this.draft.pages.splice(at, 1);
          this.drawPages();
          this.changed();
          const back = () => {
            this.draft.pages.splice(at, 0, gone);
            this.drawPages();
            this.changed();
          };
          if (gone.title || gone.text) this.pages.append(bar(button("Undo: put the page back", back)));
        };
        return make("div", { class: "class-page" }, this.field(`page-${at}-title`, `Title of page ${at + 1}`, title),
          this.area(`page-${at}-text`, `Text of page ${at + 1}`, page.text, (text) => { page.text = text; }, 6),
          bar(button("Take the page out", remove, { "aria-label": `Take the page out: page ${at + 1}` })));
      }));
    }

    clear() {
      const before = numbers.get(KEY);
      numbers.remove(KEY);
      this.draft = null;
      this.closed();
      const undo = () => { numbers.set(KEY, before); this.open(JSON.parse(before)); };
      if (before) this.root.append(bar("The form is cleared. ", button("Undo", undo)));
    }

    /* -- what comes out -- */

    changed() {
      this.draft.changed = GuideRecord.moment();
      numbers.set(KEY, JSON.stringify(this.draft));
      /* What was made before, and what is under way, is of the version before. */
      this.made = null;
      this.turn += 1;
      clearTimeout(this.timer);
      this.timer = setTimeout(() => this.make(), REST_MS);
    }

    /* The class as the form stands, or null where it cannot be used yet. */
    async make() {
      clearTimeout(this.timer);
      if (!this.draft) return null;
      const turn = ++this.turn;
      const data = { changed: GuideRecord.moment(), ...this.draft, format: FORMAT, version: 1 };
      const answer = await GuideEngine.call({ do: "class-make", data });
      const made = answer.text ? answer : null;
      if (turn !== this.turn || !this.draft) return made;
      this.made = made;
      this.out.hidden = !this.made;
      this.code_.replaceChildren();
      const wrong = this.placeOf(answer);
      for (const [name, input] of Object.entries(this.fields)) Guide.markInvalid([input], name === wrong);
      const begun = this.draft.name || this.draft.shop;
      Guide.say(this.said, this.made ? [answer.told, numbers.trouble].filter(Boolean).join(" ") || "The class is ready."
        : begun ? `Not ready: ${this.words(answer)}` : "Write the name of the class and of the shop.");
      if (this.made) this.shown.innerHTML = guideHTML(answer.html);
      return made;
    }

    /* The same for whoever pressed a button, whatever was typed just before. */
    async now() {
      return this.made || this.make();
    }

    /* The field that a place in the file means: "/pages/0/title" is page-0-title. */
    placeOf({ place = "" }) {
      return place.slice(1).replace(/^pages\//, "page/").replace(/^set\//, "").replaceAll("/", "-");
    }

    words(answer) {
      const input = this.fields[this.placeOf(answer)];
      const label = input && input.id && this.root.querySelector(`label[for="${input.id}"]`);
      return label ? why(answer).replace(answer.place, label.textContent) : why(answer);
    }

    async save(name, part, type) {
      const made = await this.now();
      if (!made) return;
      download(name, made[part], type);
      this.told.textContent = part === "text" ? "Saved: give class.json to your trainees, or lay it beside the guide."
        : "Saved: put class.js beside index.html of the unpacked guide.";
    }

    link(made) {
      const link = new URL("index.html", location.href);
      link.hash = ofClass.IN_ADDRESS + made.link;
      return link.href;
    }

    async copy() {
      const made = await this.now();
      if (!made) return;
      if (made.link) await Guide.copyLink(this.link(made), this.told, "Link copied. It holds the whole class.");
      else this.told.textContent = `No link: ${made.long}. Save the class file and give that.`;
    }

    async code() {
      const made = await this.now();
      if (!made) return;
      this.code_.replaceChildren();
      if (Guide.onlyHere()) {
        this.told.textContent = "No code: the guide is open from this device, and a phone could not reach it. Open it "
          + "under its address in the room first, or give the class file.";
        return;
      }
      const answer = made.link ? await GuideEngine.call({ do: "class-qr", link: this.link(made) }) : made;
      if (answer.html && made.link) {
        this.code_.innerHTML = guideHTML(answer.html);
        this.told.textContent = "The code carries the whole class. Show it on the projector.";
      } else {
        const reason = answer.told || answer.long || why(answer);
        this.told.textContent = `No code: ${reason}. Save the class file and give that.`;
      }
    }
  }

  Guide.onEach("[data-class-make]", (root) => new Maker(root));
})();
