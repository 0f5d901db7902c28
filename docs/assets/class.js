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
  const SET_TOO_LARGE = "the zip is larger than a set can be";
  const CLOSED = "the browser does not open it; choose it by the buttons instead of dropping it";
  const PICTURE = /^(.*\/)?photos\/|\.(jpe?g|png)$/i;
  const HIDDEN = /(^|\/)(\.|__MACOSX\/)/;

  /* --- files from a drop: a folder gives its entries a hundred at a time ---------------------- */

  /* Its files. What the browser does not open, as it opens no entry in a page from a folder, has no file. */
  async function inside(entry) {
    const name = entry.fullPath.replace(/^\//, "");
    const found = [];
    try {
      if (entry.isFile) return [{ name, file: await new Promise((resolve, reject) => entry.file(resolve, reject)) }];
      const reader = entry.createReader();
      for (;;) {
        const some = await new Promise((resolve, reject) => reader.readEntries(resolve, reject));
        if (!some.length) return found;
        for (const each of some) found.push(...await inside(each));
      }
    } catch {
      return [...found, { name, file: null }];
    }
  }

  /* A drop is open to us only until the first wait: all of it is taken before. */
  async function dropped(transfer) {
    const items = [...transfer.items].filter((item) => item.kind === "file");
    const taken = items.map((item) => [item.webkitGetAsEntry && item.webkitGetAsEntry(), item.getAsFile()]);
    const found = taken.map(([entry, file]) => {
      if (entry && (entry.isDirectory || !file)) return inside(entry);
      return file ? [{ name: file.name, file }] : [];
    });
    return (await Promise.all(found)).flat();
  }

  /* --- the page --------------------------------------------------------------------------------- */

  class Glance {
    constructor(root) {
      this.root = root;
      this.all = { files: [], refused: [] };
      this.reading = Promise.resolve();
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
      /* While files are read, the table comes at their end. */
      this.test.addEventListener("change", () => this.bar.hidden && this.show());
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
        await this.take(await dropped(event.dataTransfer));
      });
      root.replaceChildren(zone,
        make("div", { class: "field" }, make("label", { for: "class-test" },
          "Day of the class's test, for readers who set none"), this.test),
        this.said, this.bar, this.tools, this.shown);
    }

    /* One after another, in the order of the drops. What was chosen before the table was cleared is let go. */
    take(chosen) {
      const mine = this.all;
      const read = this.reading.then(() => this.readIn(mine, chosen));
      this.reading = read.catch(() => {});
      return read;
    }

    async add(mine, name, file) {
      const refuse = (what, reason) => mine.refused.push({ name: what, reason });
      if (HIDDEN.test(name)) return;
      if (mine.files.length >= MOST_FILES) refuse(name, `a class has at most ${MOST_FILES} files`);
      else if (!file) refuse(name, CLOSED);
      else if (/\.zip$/i.test(name)) await this.unzip(mine, name, file, refuse);
      else if (file.size > LARGEST) refuse(name, TOO_LARGE);
      else mine.files.push({ name, data: await bytesOf(file) });
    }

    async unzip(mine, name, file, refuse) {
      if (file.size > LARGEST_ZIP) return refuse(name, SET_TOO_LARGE);
      const fflate = await library("fflate");
      const zip = new Uint8Array(await file.arrayBuffer());
      let total = 0;
      const filter = (part) => {
        if (part.name.endsWith("/") || HIDDEN.test(part.name) || PICTURE.test(part.name)) return false;
        const large = part.originalSize > LARGEST;
        const reason = large ? TOO_LARGE : total + part.originalSize > LARGEST_ZIP ? SET_TOO_LARGE : "";
        if (reason) refuse(`${name}/${part.name}`, reason);
        else total += part.originalSize;
        return !reason;
      };
      try {
        const parts = fflate.unzipSync(zip, { filter });
        for (const [part, bytes] of Object.entries(parts)) {
          mine.files.push({ name: `${name}/${part}`, data: base64(bytes) });
        }
      } catch {
        refuse(name, "the zip is damaged, or locked with a password");
      }
      return undefined;
    }

    /* Reads what was chosen beside what is there already; judges a few at a time so that the page can tell how far. */
    async readIn(mine, chosen) {
      const { files } = mine;
      const first = files.length;
      const cleared = () => mine !== this.all;
      for (const { name, file } of chosen) {
        if (cleared()) return;
        this.bar.hidden = false;
        await this.add(mine, name, file)
          .catch(() => mine.refused.push({ name, reason: "this file cannot be opened" }));
      }
      for (let at = first; at < files.length; at += AT_ONCE) {
        if (cleared()) return;
        this.bar.value = (at - first) / (files.length - first);
        this.said.textContent = `Reading file ${at - first + 1} of ${files.length - first}${Guide.engineShare()}.`;
        const some = files.slice(at, at + AT_ONCE);
        await GuideEngine.call({ do: "class-read", files: some, today: Guide.today() });
      }
      if (cleared()) return;
      this.bar.hidden = true;
      if (files.length || mine.refused.length) await this.show();
      else this.said.textContent = "No file was found there.";
    }

    request(what, more) {
      return GuideEngine.call({ do: what, ...this.all, today: Guide.today(), test: this.test.value, ...more });
    }

    async show() {
      const mine = this.all;
      if (!mine.files.length && !mine.refused.length) return;
      const answer = await this.request("class-glance");
      if (mine !== this.all) return;
      if (!answer.html) {
        this.said.textContent = answer.refused || answer.reason || answer.trouble;
        return;
      }
      this.shown.innerHTML = guideHTML(answer.html);
      this.tools.hidden = !answer.people;
      this.said.textContent = `${answer.people} in the class.`;
    }

    /* Never half a class: what is being read comes first. */
    async save(what, type) {
      await this.reading;
      const answer = await this.request(what, { moment: new Date().toISOString().replace(/\.\d+Z/, "Z") });
      if (answer.text) download(answer.file, answer.text, type);
      else this.said.textContent = answer.refused || answer.reason || answer.trouble;
    }

    clear() {
      this.all = { files: [], refused: [] };
      this.shown.replaceChildren();
      this.tools.hidden = true;
      this.bar.hidden = true;
      this.said.textContent = "Cleared. Your files are where they were.";
    }
  }

  onEach("[data-class-glance]", (root) => new Glance(root));
})();
