/* The class at a glance: takes files, folders and zips, hands their bytes to Python a few at a time, and shows what it
   makes of them. The files stay in this page; nothing of them is kept or sent. No verdict is made here. */
(function () {
  "use strict";
  if (!window.GuideEngine) return;
  const { make, plainButton, download, library, onEach, base64, bytesOf } = Guide;

  const AT_ONCE = 10;
  const MOST_FILES = 3000;
  const LARGEST = 10e6;
  const LARGEST_ZIP = 300e6;
  const TOO_LARGE = "larger than a file of this guide can be";
  const PICTURE = /^(.*\/)?photos\/|\.(jpe?g|png)$/i;
  const HIDDEN = /(^|\/)(\.|__MACOSX\/)/;

  /* --- files from a drop: a folder gives its entries a hundred at a time ---------------------- */

  async function inside(entry) {
    if (entry.isFile) {
      const file = await new Promise((resolve, reject) => entry.file(resolve, reject));
      return [{ name: entry.fullPath.replace(/^\//, ""), file }];
    }
    const reader = entry.createReader();
    const found = [];
    for (;;) {
      const some = await new Promise((resolve, reject) => reader.readEntries(resolve, reject));
      if (!some.length) return found;
      for (const each of some) found.push(...await inside(each));
    }
  }

  async function dropped(transfer) {
    const entries = [...transfer.items].map((item) => item.webkitGetAsEntry && item.webkitGetAsEntry()).filter(Boolean);
    if (!entries.length) return [...transfer.files].map((file) => ({ name: file.name, file }));
    return (await Promise.all(entries.map(inside))).flat();
  }

  /* --- the page --------------------------------------------------------------------------------- */

  class Glance {
    constructor(root) {
      this.root = root;
      this.files = [];
      this.refused = [];
      this.turn = 0;
      const picker = (id, words, more) => {
        const input = make("input", { type: "file", id, multiple: true, ...more });
        input.addEventListener("change", async () => {
          const chosen = [...input.files].map((file) => ({ name: file.webkitRelativePath || file.name, file }));
          input.value = "";
          await this.take(chosen);
        });
        return make("div", { class: "field" }, make("label", { for: id }, words), input);
      };
      this.test = make("input", { type: "date", id: "class-test" });
      this.test.addEventListener("change", () => this.show());
      this.said = Guide.status();
      this.bar = make("progress", { max: "1", value: "0", "aria-label": "How far the reading is", hidden: true });
      this.shown = make("div", { class: "glance-shown" });
      this.tools = make("div", { class: "glance-tools", hidden: true },
        plainButton("Print", () => window.print()),
        plainButton("Save the table (CSV)", () => this.save("class-csv", "text/csv;charset=utf-8")),
        plainButton("Save the dates of all logs (calendar)",
          () => this.save("class-calendar", "text/calendar;charset=utf-8")),
        plainButton("Clear the table", () => this.clear()));
      const zone = make("div", { class: "glance-drop" },
        make("p", {}, "Drop a folder, files or zips here: test-day records, continuity logs, progress."),
        picker("class-files", "Choose files or zips", { accept: ".json,.zip,application/json,application/zip" }),
        picker("class-folder", "Choose a folder", { webkitdirectory: "" }));
      zone.addEventListener("dragover", (event) => event.preventDefault());
      zone.addEventListener("drop", async (event) => {
        event.preventDefault();
        const found = dropped(event.dataTransfer);
        await this.take(await found.catch(() => []));
      });
      root.replaceChildren(zone,
        make("div", { class: "field" }, make("label", { for: "class-test" },
          "Day of the class's test, for readers who set none"), this.test),
        this.said, this.bar, this.tools, this.shown);
    }

    refuse(name, reason) {
      this.refused.push({ name, reason });
    }

    async add(name, file) {
      if (HIDDEN.test(name)) return;
      if (/\.zip$/i.test(name)) return this.unzip(name, file);
      if (file.size > LARGEST) return this.refuse(name, TOO_LARGE);
      this.files.push({ name, data: await bytesOf(file) });
    }

    async unzip(name, file) {
      if (file.size > LARGEST_ZIP) return this.refuse(name, "the zip is larger than a set can be");
      const fflate = await library("fflate");
      let total = 0;
      const filter = (part) => {
        if (part.name.endsWith("/") || HIDDEN.test(part.name) || PICTURE.test(part.name)) return false;
        total += part.originalSize;
        if (part.originalSize > LARGEST) this.refuse(`${name}/${part.name}`, TOO_LARGE);
        return part.originalSize <= LARGEST && total <= LARGEST_ZIP;
      };
      try {
        const parts = fflate.unzipSync(new Uint8Array(await file.arrayBuffer()), { filter });
        for (const [part, bytes] of Object.entries(parts)) {
          this.files.push({ name: `${name}/${part}`, data: base64(bytes) });
        }
      } catch {
        this.refuse(name, "the zip is damaged, or locked with a password");
      }
    }

    /* Reads what was chosen beside what is there already; judges a few at a time so that the page can tell how far. */
    async take(chosen) {
      const mine = ++this.turn;
      const first = this.files.length;
      this.bar.hidden = false;
      for (const { name, file } of chosen) {
        if (this.files.length >= MOST_FILES) this.refuse(name, `a class has at most ${MOST_FILES} files`);
        else await this.add(name, file).catch(() => this.refuse(name, "this file cannot be opened"));
      }
      for (let at = first; at < this.files.length && mine === this.turn; at += AT_ONCE) {
        this.bar.value = (at - first) / (this.files.length - first);
        this.said.textContent = `Reading file ${at - first + 1} of ${this.files.length - first}${Guide.engineShare()}.`;
        const some = this.files.slice(at, at + AT_ONCE);
        await GuideEngine.call({ do: "class-read", files: some, today: Guide.today() });
      }
      if (mine !== this.turn) return;
      this.bar.hidden = true;
      await this.show();
    }

    request(what, more) {
      const { files, refused } = this;
      return GuideEngine.call({ do: what, files, refused, today: Guide.today(), test: this.test.value, ...more });
    }

    async show() {
      if (!this.files.length && !this.refused.length) return;
      const answer = await this.request("class-glance");
      if (!answer.html) {
        this.said.textContent = answer.refused || answer.reason || answer.trouble;
        return;
      }
      this.shown.innerHTML = guideHTML(answer.html);
      this.tools.hidden = !answer.people;
      this.said.textContent = `${answer.people} in the class.`;
    }

    async save(what, type) {
      const answer = await this.request(what, { moment: new Date().toISOString().replace(/\.\d+Z/, "Z") });
      if (answer.text) download(answer.file, answer.text, type);
      else this.said.textContent = answer.refused || answer.reason || answer.trouble;
    }

    clear() {
      this.turn += 1;
      this.files = [];
      this.refused = [];
      this.shown.replaceChildren();
      this.tools.hidden = true;
      this.bar.hidden = true;
      this.said.textContent = "Cleared. Your files are where they were.";
    }
  }

  onEach("[data-class-glance]", (root) => new Glance(root));
})();
