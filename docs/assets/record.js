/* The page of the test-day record: keeps what is typed, shows what Python says of it, carries files in and out.
   No limit of the trade, formula or verdict stands here. How keeping works:

   - Every change is written at once to the journal (localStorage, which is synchronous) and then to the store (IndexedDB).
     One store write runs at a time; changes during it go out with the next. A kill loses at most the key under way.
   - Every stored record has a revision and the tab that wrote it. A write that finds another tab's newer revision
     is not made: both versions are kept, and the reader is told.
   - Order and newness go by counters, never by the clock. */
(function () {
  "use strict";
  if (window.GuideRecord) return;

  const BASE = new URL(".", document.currentScript.src).href;
  const JOURNAL = "guide.record.journal.";
  const JUDGE_AFTER_MS = 120;
  const SHEET_AFTER_MS = 700;
  const OPEN_WAIT_MS = 5000;
  const LONGEST_SIDE = 1600;
  const PICTURE_QUALITY = 0.8;
  const MOST_IN_ZIP = 2000;
  const LARGEST_ZIP = 300e6;
  const NOT_TEXT = /[\p{Cc}\p{Cs}\u202a-\u202e\u2066-\u2069]/gu;
  const TAB = identifier("t");

  function identifier(first) {
    const bytes = crypto.getRandomValues(new Uint8Array(9));
    return first + [...bytes].map((byte) => byte.toString(16).padStart(2, "0")).join("");
  }

  function moment() {
    const text = new Date().toISOString().slice(0, 19) + "Z";
    return text.length === 20 ? text : "1970-01-01T00:00:00Z"; /* a clock beyond the year 9999 */
  }

  function today() {
    const now = new Date();
    return [now.getFullYear(), now.getMonth() + 1, now.getDate()].map((part) => String(part).padStart(2, "0")).join("-");
  }

  const copyOf = (data) => JSON.parse(JSON.stringify(data));
  const sameText = (a, b) => JSON.stringify({ ...a, changed: "" }) === JSON.stringify({ ...b, changed: "" });

  function make(tag, attributes, ...children) {
    const made = document.createElement(tag);
    for (const [name, value] of Object.entries(attributes || {})) {
      if (name === "onclick") made.addEventListener("click", value);
      else made.setAttribute(name, value);
    }
    made.append(...children);
    return made;
  }

  const button = (words, onclick, attributes) => make("button", { type: "button", class: "plain-button", ...attributes, onclick }, words);

  function library(name) {
    if (window[name]) return Promise.resolve(window[name]);
    return new Promise((resolve, reject) => {
      const script = make("script", { src: `${BASE}vendor/${name}.js` });
      script.onload = () => resolve(window[name]);
      script.onerror = () => reject(new Error(`the file vendor/${name}.js is missing`));
      document.head.append(script);
    });
  }

  /* --- the journal: what was typed, before the store has it ---------------------- */

  const journal = {
    set(entry) {
      try {
        localStorage.setItem(JOURNAL + entry.id + "." + TAB, JSON.stringify({ id: entry.id, record: entry.record, base: entry.revision, writer: TAB, keys: entry.keys }));
      } catch {
        this.clear(entry.id); /* an old line would be worse than none */
      }
    },
    drop(key) {
      try { localStorage.removeItem(key); } catch { /* it was never there */ }
    },
    clear(id) { this.drop(JOURNAL + id + "." + TAB); },
    all() {
      const found = [];
      try {
        for (const key of Object.keys(localStorage).filter((name) => name.startsWith(JOURNAL))) {
          try {
            const kept = JSON.parse(localStorage.getItem(key));
            if (kept && kept.record && kept.id) found.push({ key, ...kept });
          } catch { /* a torn line: the store has what came before it */ }
        }
      } catch { /* no storage: no journal */ }
      return found;
    },
  };

  /* --- the stores ------------------------------------------------------------------- */

  /* Decides whether a write may be made: `stored` is what lies there now. A tab may follow itself, but never go back. */
  function mayWrite(stored, entry) {
    if (!stored) return true;
    const own = stored.writer === (entry.writer || TAB);
    return own ? (stored.keys || 0) <= (entry.keys || 0) : stored.revision === entry.revision;
  }

  function next(stored, entry) {
    return { ...entry, revision: (stored ? stored.revision : 0) + 1, writer: entry.writer || TAB };
  }

  class IndexedStore {
    static async open() {
      const idb = await library("idb");
      const opening = idb.openDB("guide-records", 1, {
        upgrade(db) {
          db.createObjectStore("records", { keyPath: "id" });
          db.createObjectStore("photos");
        },
        blocking(_old, _new, event) { event.target.close(); },
      });
      const slow = new Promise((_, reject) => { setTimeout(() => reject(new Error("it did not answer")), OPEN_WAIT_MS); });
      const store = new IndexedStore();
      store.db = await Promise.race([opening, slow]);
      await store.db.count("records");
      return store;
    }
    all() { return this.db.getAll("records"); }
    get(id) { return this.db.get("records", id); }
    async write(entry) {
      const work = this.db.transaction("records", "readwrite");
      const stored = await work.store.get(entry.id);
      if (!mayWrite(stored, entry)) {
        await work.done;
        return { conflict: stored };
      }
      const written = next(stored, entry);
      work.store.put(written).catch(() => {});
      await work.done;
      return { written };
    }
    async forget(id) {
      const work = this.db.transaction(["records", "photos"], "readwrite");
      work.objectStore("records").delete(id);
      work.objectStore("photos").delete(IDBKeyRange.bound(id + "/", id + "/\uffff"));
      await work.done;
    }
    putPhoto(id, photo, data) { return this.db.put("photos", data, `${id}/${photo}`); }
    getPhoto(id, photo) { return this.db.get("photos", `${id}/${photo}`); }
    dropPhoto(id, photo) { return this.db.delete("photos", `${id}/${photo}`); }
  }

  /* Over a map of texts: localStorage, or plain memory where nothing else is left. */
  class TextStore {
    constructor(texts) { this.texts = texts; }
    static local() {
      localStorage.setItem("guide.record.probe", "1");
      localStorage.removeItem("guide.record.probe");
      return TextStore.small();
    }
    static small() {
      return new TextStore({
        get: (key) => localStorage.getItem(key), set: (key, text) => localStorage.setItem(key, text),
        drop: (key) => localStorage.removeItem(key), keys: () => Object.keys(localStorage),
      });
    }
    static memory() {
      const map = new Map();
      return new TextStore({ get: (key) => map.get(key) || null, set: (key, text) => map.set(key, text), drop: (key) => map.delete(key), keys: () => [...map.keys()] });
    }
    async all() {
      return this.texts.keys().filter((key) => key.startsWith("guide.record.entry.")).map((key) => JSON.parse(this.texts.get(key)));
    }
    async get(id) { return JSON.parse(this.texts.get("guide.record.entry." + id) || "null") || undefined; }
    async write(entry) {
      const stored = await this.get(entry.id);
      if (!mayWrite(stored, entry)) return { conflict: stored };
      const written = next(stored, entry);
      this.texts.set("guide.record.entry." + entry.id, JSON.stringify(written));
      return { written };
    }
    async forget(id) {
      for (const key of this.texts.keys()) {
        if (key === "guide.record.entry." + id || key.startsWith(`guide.record.photo.${id}/`)) this.texts.drop(key);
      }
    }
    async putPhoto(id, photo, data) { this.texts.set(`guide.record.photo.${id}/${photo}`, data); }
    async getPhoto(id, photo) { return this.texts.get(`guide.record.photo.${id}/${photo}`) || undefined; }
    async dropPhoto(id, photo) { this.texts.drop(`guide.record.photo.${id}/${photo}`); }
  }

  /* The best store that this browser gives, and what the reader must know of it. */
  async function openStore() {
    try {
      return { store: await IndexedStore.open(), words: "" };
    } catch (error) {
      if (error && error.name === "VersionError") {
        return { store: TextStore.memory(), lasting: false, words: "The records in this browser were written by a newer version of the guide. Nothing was changed. What you write here now is not kept: export it." };
      }
    }
    try {
      return { store: TextStore.local(), words: "This browser refuses its database to this page. Records are kept in its small storage: room for the words, and for few photographs. Export often." };
    } catch {
      return { store: TextStore.memory(), lasting: false, words: "This browser keeps nothing for this page. What you write is gone when the page closes: export it before you leave." };
    }
  }

  /* --- photographs: scaled down and drawn anew, which leaves every hidden line behind ----- */

  async function shrink(blob) {
    const picture = await createImageBitmap(blob, { imageOrientation: "from-image" });
    const scale = Math.min(1, LONGEST_SIDE / Math.max(picture.width, picture.height));
    const canvas = make("canvas");
    canvas.width = Math.max(1, Math.round(picture.width * scale));
    canvas.height = Math.max(1, Math.round(picture.height * scale));
    canvas.getContext("2d").drawImage(picture, 0, 0, canvas.width, canvas.height);
    picture.close();
    return { data: canvas.toDataURL("image/jpeg", PICTURE_QUALITY), width: canvas.width, height: canvas.height };
  }

  const bytesOf = (dataUrl) => Uint8Array.from(atob(dataUrl.slice(dataUrl.indexOf(",") + 1)), (letter) => letter.charCodeAt(0));

  /* --- the app ------------------------------------------------------------------------- */

  class App {
    constructor(root) {
      this.root = root;
      this.entries = new Map();
      this.filter = "used";
      this.search = "";
      this.current = null;
      this.failed = "";
      this.waiting = new Set();
      this.left = new AbortController();
      this.place = make("p", { class: "notice", hidden: "" });
      this.told = make("div", { class: "record-told", role: "status" });
      this.view = make("div", { class: "record-view" });
      this.paper = make("div", { class: "record-paper" });
      root.append(this.place, this.told, this.view, this.paper);
      root.classList.add("record-live");
    }

    async start() {
      this.view.append(make("p", {}, "Looking for your records."));
      const { store, words, lasting = true } = await openStore();
      this.store = store;
      this.lasting = lasting;
      this.place.hidden = !words;
      this.place.textContent = words;
      await this.recover();
      await this.takeFromSmall();
      for (const entry of await store.all()) this.entries.set(entry.id, entry);
      this.listen();
      this.showList();
      this.root.dataset.ready = lasting ? (store instanceof IndexedStore ? "indexed" : "local") : "memory";
    }

    listen() {
      if (window.BroadcastChannel) {
        this.channel = new BroadcastChannel("guide-record");
        this.channel.onmessage = (event) => this.heard(event.data);
      }
      const until = { signal: this.left.signal };
      window.addEventListener("storage", (event) => {
        if (event.key && event.key.startsWith("guide.record.entry.")) this.heard({ id: event.key.slice(19) });
      }, until);
      document.addEventListener("visibilitychange", () => {
        if (!document.hidden && this.current) this.heard({ id: this.current.id });
      }, until);
      window.addEventListener("pagehide", () => this.save(), until);
      window.addEventListener("beforeunload", (event) => {
        if ((!this.lasting && this.entries.size) || this.failed) event.preventDefault();
      }, until);
    }

    /* The theme took the page away. */
    leave() {
      this.save();
      this.left.abort();
      if (this.channel) this.channel.close();
      this.channel = null;
    }

    /* What a killed page had typed and not stored. One tab at a time, since all of them see the same journal. */
    async recover() {
      const work = async () => {
        for (const kept of journal.all()) await this.recoverOne(kept);
      };
      if (!navigator.locks || !window.AbortSignal || !AbortSignal.timeout) return work();
      /* A tab that sleeps while it holds the lock must not keep this one waiting, nor a browser that denies locks with the storage. */
      return navigator.locks.request("guide-record-recover", { signal: AbortSignal.timeout(OPEN_WAIT_MS) }, work).catch(work);
    }

    async recoverOne(kept) {
      try {
        const stored = await this.store.get(kept.id);
        const own = stored && stored.writer === kept.writer;
        const known = stored && (sameText(stored.record, kept.record) || (own && (stored.keys || 0) >= (kept.keys || 0)));
        if (!known) {
          const entry = { ...(stored || {}), id: kept.id, record: kept.record, revision: kept.base, writer: kept.writer, keys: kept.keys };
          const { written } = await this.store.write(entry);
          if (!written && !own) {
            await this.keepCopy(kept.record, "recovered");
            this.tell(`A page was closed in the middle of “${kept.record.name || "a record"}” while another wrote to it. Both versions are in the list.`);
          }
        }
        /* What forgets when the page closes takes nothing over: the line waits for a store that lasts. */
        if (this.lasting) journal.drop(kept.key);
      } catch (error) {
        this.tell(`What was typed last could not be stored (${(error && error.message) || error}). It is kept and tried again at the next start.`);
      }
    }

    /* What was kept in the small storage while the database was closed to us comes into the database. */
    async takeFromSmall() {
      if (!(this.store instanceof IndexedStore)) return;
      try {
        const small = TextStore.small();
        for (const entry of await small.all()) {
          const stored = await this.store.get(entry.id);
          if (stored && !sameText(stored.record, entry.record)) {
            const copy = await this.keepCopy(entry.record, "second version");
            for (const { id } of entry.record.photos) await this.movePhoto(small, entry.id, copy.id, id);
          } else {
            if (!stored) await this.store.write({ ...entry, revision: 0 });
            for (const { id } of entry.record.photos) await this.movePhoto(small, entry.id, entry.id, id);
          }
          await small.forget(entry.id);
        }
      } catch { /* it lies there safely, and is tried again at the next start */ }
    }

    async movePhoto(small, from, to, id) {
      const data = await small.getPhoto(from, id);
      if (data) await this.store.putPhoto(to, id, data);
    }

    /* A version that may not take the place of another gets a place of its own. */
    async keepCopy(record, why) {
      const copy = { ...copyOf(record), id: identifier("r"), name: `${record.name || "No name"} (${why})`.slice(0, 200) };
      const { written } = await this.store.write({ id: copy.id, record: copy, revision: 0, touched: this.nextTouch() });
      this.entries.set(written.id, written);
      await this.copyPhotos(record, copy);
      this.announce(written);
      return written;
    }

    async copyPhotos(from, to) {
      for (const photo of from.photos) {
        const data = await this.store.getPhoto(from.id, photo.id);
        if (data) await this.store.putPhoto(to.id, photo.id, data);
      }
    }

    nextTouch() {
      return Math.max(0, ...[...this.entries.values()].map((entry) => entry.touched || 0)) + 1;
    }

    announce(entry) {
      if (this.channel) this.channel.postMessage({ id: entry.id, revision: entry.revision, writer: TAB });
    }

    /* Another tab wrote: take it over where nothing of ours waits. */
    async heard({ id }) {
      const stored = await this.store.get(id);
      if (!stored) {
        this.entries.delete(id);
        if (!this.current) this.drawList();
        return;
      }
      const open = this.current && this.current.id === id;
      if (!open) {
        this.entries.set(id, stored);
        if (!this.current) this.drawList();
        return;
      }
      if (this.waiting.size || stored.revision <= this.current.revision) return;
      if (this.strange(stored.record)) {
        this.entries.set(id, stored);
        this.showList();
        this.tell(`“${stored.record.name || "No name"}” is now ${this.strange(stored.record)}. It was changed in another tab, and is closed here so that nothing of it is lost.`);
        return;
      }
      this.current = stored;
      this.entries.set(id, stored);
      this.fill(stored.record);
      this.judgeSoon();
      this.tell("This record was changed in another tab. You see the newer version.");
    }

    tell(words, ...extra) {
      this.told.replaceChildren(words ? make("p", {}, words, " ", ...extra) : "");
    }

    /* -- the list -- */

    showList() {
      this.current = null;
      this.paper.replaceChildren();
      document.documentElement.classList.remove("record-open");
      const search = make("input", { type: "search", id: "record-search", autocomplete: "off" });
      search.value = this.search;
      search.addEventListener("input", () => { this.search = search.value; this.drawList(); });
      const filter = make("select", { id: "record-filter" });
      for (const [value, words] of [["used", "In use"], ["archived", "Archived"], ["deleted", "Deleted"]]) filter.append(make("option", { value }, words));
      filter.value = this.filter;
      filter.addEventListener("change", () => { this.filter = filter.value; this.drawList(); });
      const file = make("input", { type: "file", id: "record-import", accept: ".json,.zip,application/json,application/zip", multiple: "" });
      file.addEventListener("change", async () => { await this.importFiles([...file.files]); file.value = ""; });
      this.list = make("ul", { class: "record-list" });
      this.view.replaceChildren(
        make("div", { class: "record-bar" },
          button("New test-day record", () => this.create("test-day"), { "data-new": "test-day" }),
          button("New continuity log", () => this.create("continuity"), { "data-new": "continuity" })),
        make("div", { class: "record-bar" },
          make("div", { class: "field" }, make("label", { for: "record-search" }, "Search"), search),
          make("div", { class: "field" }, make("label", { for: "record-filter" }, "Show"), filter)),
        this.list,
        make("div", { class: "record-bar" },
          make("div", { class: "field" }, make("label", { for: "record-import" }, "Import a record (.json) or a set (.zip)"), file),
          button("Export the shown records as a set", () => this.exportZip(), { "data-export-zip": "" }),
          button("Export the shown records for a spreadsheet", () => this.exportCsv(this.shown().filter((record) => !this.strange(record))), { "data-export-csv": "" }),
          button("Put in the invented example", () => this.demo(), { "data-demo": "" })));
      this.drawList();
    }

    shown() {
      const wanted = this.search.toLowerCase().split(/\s+/).filter(Boolean);
      return [...this.entries.values()].filter((entry) => {
        const state = entry.deleted ? "deleted" : entry.record.archived ? "archived" : "used";
        const text = JSON.stringify([entry.record.name, entry.record.values, entry.record.rows]).toLowerCase();
        return state === this.filter && wanted.every((word) => text.includes(word));
      }).sort((a, b) => (b.touched || 0) - (a.touched || 0)).map((entry) => entry.record);
    }

    drawList() {
      const records = this.shown();
      this.list.replaceChildren(...records.map((record) => this.item(record)));
      if (!records.length) this.list.append(make("li", { class: "record-none" }, this.search ? "No record holds these words." : "No record here yet."));
    }

    item(record) {
      const entry = this.entries.get(record.id);
      if (this.strange(record)) return this.strangeItem(record);
      const kind = this.template(record.kind).dataset.title;
      const { date, welder, plate_mark: mark, position, thickness } = record.values;
      const line = [kind, date, welder, mark, position, thickness].filter(Boolean).join(", ");
      const name = record.name || "No name";
      const tools = entry.deleted
        ? [button("Put back", () => this.mark(record.id, { deleted: false }), { "aria-label": `Put back ${name}` }), this.sure("Remove for good", () => this.forget(record.id))]
        : [
          button("Duplicate", () => this.duplicate(record), { "aria-label": `Duplicate ${name}`, "data-duplicate": "" }),
          button(record.archived ? "Back into use" : "Archive", () => this.archive(record.id), { "aria-label": `${record.archived ? "Back into use" : "Archive"}: ${name}`, "data-archive": "" }),
          button("Delete", () => this.remove(record.id), { "aria-label": `Delete ${name}`, "data-delete": "" }),
        ];
      const open = button(name, () => this.openRecord(record.id), { class: "record-name", "data-open": record.id });
      if (entry.deleted) open.disabled = true;
      return make("li", { "data-record": record.id }, open, make("p", {}, line + (record.invented && !line.includes("(invented)") ? " (invented)" : "")), make("div", { class: "record-tools" }, ...tools));
    }

    /* A record that this version of the guide cannot hold in its form. It is shown, and never written to. */
    strange(record) {
      const template = record && this.template(String(record.kind));
      const whole = record && [record.values, record.rows, record.photos].every((part) => part && typeof part === "object");
      if (whole && Number.isInteger(record.version) && record.version > newestVersion(this.root)) return "written by a newer version of the guide";
      return template && whole ? "" : "damaged, or of a kind that this version of the guide does not know";
    }

    strangeItem(record) {
      const name = String(record.name || "No name");
      return make("li", { "data-record": record.id, "data-strange": "" }, make("p", { class: "record-name" }, name),
        make("p", { class: "notice" }, `This record is ${this.strange(record)}. It is left as it is and not opened here. Reload the page to get the newest version of the guide, or export the record.`),
        make("div", { class: "record-tools" }, button("Export this record", () => this.give(`${record.id}.json`, [JSON.stringify(record, null, 2) + "\n"], "application/json"), { "aria-label": `Export ${name}` })));
    }

    /* A second press within four seconds does it. */
    sure(words, act) {
      const made = button(words, () => {
        if (made.dataset.sure) return act();
        made.dataset.sure = "yes";
        made.textContent = "Press again: there is no way back";
        setTimeout(() => { delete made.dataset.sure; made.textContent = words; }, 4000);
        return undefined;
      });
      return made;
    }

    template(kind) {
      return this.root.querySelector(`template[data-record-form="${CSS.escape(kind)}"]`);
    }

    async create(kind) {
      const record = JSON.parse(this.template(kind).dataset.blank);
      const si = document.documentElement.dataset.units === "si";
      Object.assign(record, { id: identifier("r"), created: moment(), changed: moment(), bare_numbers: si ? "si" : "us" });
      if (await this.add(record)) this.openRecord(record.id);
      if (navigator.storage && navigator.storage.persist) navigator.storage.persist().catch(() => {});
    }

    async add(record, state = {}) {
      const entry = { id: record.id, record, revision: 0, touched: this.nextTouch(), ...state };
      try {
        const { written } = await this.store.write(entry);
        this.entries.set(written.id, written);
        this.announce(written);
        return true;
      } catch (error) {
        /* It still opens, so that nothing stands in the way of writing; the status says that it is not kept. */
        this.entries.set(entry.id, entry);
        this.waiting.add(entry);
        this.fail(error);
        return true;
      }
    }

    async mark(id, change, recordChange = {}) {
      const entry = this.entries.get(id);
      const wanted = { ...entry, ...change, record: { ...entry.record, ...recordChange }, writer: undefined };
      try {
        const { written, conflict } = await this.store.write(wanted);
        this.entries.set(id, written || conflict);
        if (written) this.announce(written);
        if (conflict) this.tell("Another tab changed this record meanwhile. Look at it, then try again.");
      } catch (error) {
        this.fail(error);
      }
      if (!this.current) this.drawList();
    }

    async remove(id) {
      const name = this.entries.get(id).record.name || "No name";
      await this.save();
      await this.mark(id, { deleted: true });
      if (this.current) this.showList();
      const undo = button("Undo", async () => { await this.mark(id, { deleted: false }); this.tell(`“${name}” is back.`); }, { "data-undo": "" });
      this.tell(`“${name}” is deleted. It waits under Deleted until you remove it for good.`, undo);
    }

    async forget(id) {
      await this.store.forget(id);
      this.entries.delete(id);
      journal.clear(id);
      this.announce({ id, revision: 0 });
      this.drawList();
    }

    async archive(id) {
      const { record } = this.entries.get(id);
      await this.mark(id, {}, { archived: !record.archived });
      this.tell(record.archived ? "Back in use." : "Archived. Choose Archived under Show to see it.");
    }

    async duplicate(record) {
      const copy = { ...copyOf(record), id: identifier("r"), name: `${record.name || "No name"} (copy)`.slice(0, 200), created: moment(), changed: moment() };
      await this.add(copy);
      await this.copyPhotos(record, copy);
      this.drawList();
      this.tell(`A copy is in the list: “${copy.name}”.`);
    }

    async demo() {
      const answer = await this.ask({ do: "record-demo", ids: [identifier("r"), identifier("r")] });
      if (!answer) return;
      for (const record of answer.records) await this.add(record);
      this.drawList();
      this.tell("Two invented records are in the list. Nobody welded them.");
    }

    /* -- one record -- */

    openRecord(id) {
      this.current = this.entries.get(id);
      this.current.touched = this.nextTouch();
      this.tell("");
      const { record } = this.current;
      const template = this.template(record.kind);
      this.form = template.content.firstElementChild.cloneNode(true);
      this.form.addEventListener("submit", (event) => event.preventDefault());
      this.form.addEventListener("input", (event) => { if (!event.target.matches("[data-bare]")) this.changed(); });
      this.form.addEventListener("change", (event) => (event.target.matches("[data-bare]") ? this.switchBare() : this.changed()));
      this.form.addEventListener("click", (event) => this.clicked(event));
      this.status = make("p", { class: "record-status", role: "status", "data-status": "" });
      this.verdict = make("div", { class: "record-answer", "data-verdict": "" });
      this.headline = make("p", { class: "headline", "data-record-headline": "" });
      this.photoList = make("ul", { class: "record-photos" });
      const log = record.kind === "continuity";
      this.view.replaceChildren(
        make("div", { class: "record-bar" },
          button("All records", () => { this.save(); this.showList(); }, { "data-back": "" }),
          button("Print the sheet", () => this.print(), { "data-print": "" }),
          button("Export this record", () => this.exportOne(), { "data-export": "" }),
          button("For a spreadsheet", () => this.exportCsv([this.current.record])),
          ...(log ? [button("Due date for a calendar", () => this.exportCalendar(), { "data-calendar": "" })] : []),
          button("Delete", () => this.remove(this.current.id))),
        this.status, this.form,
        make("section", { class: "record-section record-pictures", "aria-labelledby": "record-pictures" },
          make("h3", { id: "record-pictures" }, "Photographs"),
          make("p", { class: "record-help" }, "Scaled down and kept on this device, without the place where they were taken. They travel only in a set that you export."),
          make("div", { class: "record-bar" }, this.picker("record-camera", "Take a photograph", { capture: "environment" }), this.picker("record-picture", "Choose a picture", { multiple: "" })),
          this.photoList),
        make("section", { class: "record-section record-verdict-part", "aria-labelledby": "record-verdict-title" },
          make("h3", { id: "record-verdict-title" }, log ? "Where it stands" : "Verdict by coupon and test"), this.verdict),
        this.headline);
      document.documentElement.classList.add("record-open");
      this.fill(record);
      this.drawPhotos();
      this.say(this.failed ? undefined : "Kept in this browser.");
      this.judge();
      this.view.scrollIntoView({ block: "start" });
    }

    picker(id, words, more) {
      const input = make("input", { type: "file", accept: "image/*", id, ...more });
      input.addEventListener("change", async () => { await this.addPhotos([...input.files]); input.value = ""; });
      return make("div", { class: "field" }, make("label", { for: id }, words), input);
    }

    fill(record) {
      const { form } = this;
      form.querySelector("[data-name]").value = record.name;
      form.querySelector("[data-bare]").value = record.bare_numbers;
      for (const field of form.querySelectorAll("[data-field]")) {
        const rows = field.querySelector("[data-rows]");
        if (rows) this.fillRows(rows, record.rows[rows.dataset.rows] || []);
        else this.put(field.querySelector("[data-input]"), record.values[field.dataset.field] || "");
      }
      this.count();
    }

    /* A text that its list or calendar does not know is kept and shown, never dropped. */
    put(control, text) {
      if (control.tagName === "SELECT" && text && ![...control.options].some((option) => option.value === text)) {
        control.append(make("option", { value: text }, `${text} (not known here)`));
      }
      if (control.type === "date" && text && !/^\d{4}-\d{2}-\d{2}$/.test(text)) control.type = "text";
      if (document.activeElement !== control || control.value !== text) control.value = text;
    }

    fillRows(rows, data) {
      for (const row of rows.querySelectorAll("[data-row]")) row.remove();
      for (const cells of data) {
        const row = this.addRow(rows);
        for (const control of row.querySelectorAll("[data-input]")) {
          if (cells[control.dataset.input] !== undefined) this.put(control, cells[control.dataset.input]);
        }
      }
    }

    addRow(rows) {
      const template = rows.querySelector("template");
      const number = rows.querySelectorAll("[data-row]").length + 1;
      const row = template.content.firstElementChild.cloneNode(true);
      for (const marked of row.querySelectorAll("*")) {
        for (const { name, value } of [...marked.attributes]) {
          if (value.includes("NUMBER")) marked.setAttribute(name, value.replaceAll("NUMBER", number));
        }
      }
      row.querySelector("[data-row-number]").textContent = number;
      row.querySelector("[data-remove-row]").setAttribute("aria-label", `Remove ${row.querySelector(".row-name").textContent}`);
      template.before(row);
      return row;
    }

    rowsOf(rows) {
      return [...rows.querySelectorAll("[data-row]")].map((row) => Object.fromEntries(
        [...row.querySelectorAll("[data-input]")].map((control) => [control.dataset.input, clean(control.value)]).filter(([, text]) => text)));
    }

    clicked(event) {
      const pressed = event.target.closest("button");
      if (!pressed) return;
      if (pressed.dataset.fill !== undefined) {
        pressed.closest("[data-field]").querySelector("[data-input]").value = pressed.dataset.fill;
      } else if (pressed.hasAttribute("data-add-row")) {
        const rows = pressed.closest("[data-rows]");
        if (rows.querySelectorAll("[data-row]").length >= Number(rows.dataset.most)) return;
        this.addRow(rows).querySelector("[data-input]").focus();
      } else if (pressed.hasAttribute("data-remove-row")) {
        const rows = pressed.closest("[data-rows]");
        const place = [...rows.querySelectorAll("[data-row]")].indexOf(pressed.closest("[data-row]"));
        const left = this.rowsOf(rows).filter((_, index) => index !== place);
        this.fillRows(rows, left);
        (rows.querySelectorAll("[data-row] [data-input]")[0] || rows.querySelector("[data-add-row]")).focus();
      } else {
        return;
      }
      this.changed();
    }

    read() {
      const record = copyOf(this.current.record);
      record.name = clean(this.form.querySelector("[data-name]").value);
      record.values = {};
      record.rows = {};
      for (const field of this.form.querySelectorAll("[data-field]")) {
        const rows = field.querySelector("[data-rows]");
        if (rows) {
          const found = this.rowsOf(rows);
          if (found.length) record.rows[rows.dataset.rows] = found;
        } else {
          const control = field.querySelector("[data-input]");
          const text = clean(control.value);
          if (text) record.values[field.dataset.field] = text;
        }
      }
      return record;
    }

    changed() {
      if (!this.current) return; /* a field that is taken away tells that it changed */
      this.take(this.read());
      this.count();
      this.judgeSoon();
    }

    /* A changed record: into the journal now, into the store at once. */
    take(record) {
      record.changed = moment();
      this.current.record = record;
      this.current.keys = (this.current.keys || 0) + 1;
      this.waiting.add(this.current);
      journal.set(this.current);
      this.save();
    }

    /* Stores all that waits, one write at a time; what is typed meanwhile goes out with the next. */
    save() {
      if (!this.saving) this.saving = this.drain().finally(() => { this.saving = null; });
      return this.saving;
    }

    async drain() {
      while (this.waiting.size) {
        const [entry] = this.waiting;
        const sent = entry.record;
        try {
          const { written, conflict } = await this.store.write({ ...entry, writer: TAB });
          if (conflict) {
            this.waiting.delete(entry);
            await this.keepBoth(entry, conflict);
            continue;
          }
          entry.revision = written.revision;
          entry.writer = TAB;
          this.entries.set(entry.id, entry);
          if (entry.record === sent) {
            this.waiting.delete(entry);
            journal.clear(entry.id);
          }
          this.failed = "";
          this.announce(entry);
          this.say("Kept in this browser.");
        } catch (error) {
          this.fail(error);
          return;
        }
      }
    }

    /* Another tab was first: its version stays, ours goes on as a record of its own. */
    async keepBoth(entry, stored) {
      journal.clear(entry.id);
      this.entries.set(stored.id, stored);
      const copy = await this.keepCopy(entry.record, "second version");
      if (this.current && this.current.id === entry.id) {
        /* Keys typed meanwhile belong to the copy too. */
        const typed = this.form ? this.read() : entry.record;
        this.current = { ...copy, record: { ...typed, id: copy.id, name: copy.record.name } };
        this.form.querySelector("[data-name]").value = copy.record.name;
        this.entries.set(copy.id, this.current);
        this.waiting.add(this.current);
        journal.set(this.current);
      }
      /* What was typed while the copy was made went to the old place: it is in the copy now. */
      this.waiting.delete(entry);
      journal.clear(entry.id);
      this.tell("Another tab changed this record at the same time. Nothing was written over: its version stands under the old name, and you go on in a second version.");
    }

    fail(error) {
      const full = error && (error.name === "QuotaExceededError" || /quota/i.test(String(error.message)));
      this.failed = full
        ? "NOT kept: the browser's storage is full. What you typed stands on this page only. Export this record now, then make room."
        : `NOT kept: the browser refused to store it (${(error && error.message) || error}). What you typed stands on this page only. Export this record now.`;
      this.say();
      if (!this.current) this.tell(this.failed);
    }

    say(words) {
      if (!this.status) return;
      const text = this.failed || words || "";
      if (this.status.textContent !== text) this.status.textContent = text;
      this.status.classList.toggle("record-failed", Boolean(this.failed));
    }

    /* How much of each section is filled in. */
    count() {
      for (const section of this.form.querySelectorAll("[data-section]")) {
        const fields = [...section.querySelectorAll("[data-field]")];
        const filled = fields.filter((field) => (field.querySelector("[data-rows]") ? field.querySelector("[data-row]") : field.querySelector("[data-input]").value)).length;
        section.querySelector("[data-count]").textContent = `${filled} of ${fields.length}`;
      }
    }

    async switchBare() {
      const select = this.form.querySelector("[data-bare]");
      const before = this.read();
      const answer = await this.ask({ do: "record-bare", record: before, bare: select.value });
      if (!answer || !answer.record) {
        select.value = before.bare_numbers;
        return;
      }
      this.fill(answer.record);
      this.take(answer.record);
      this.judge();
    }

    /* -- what Python says -- */

    async ask(request) {
      const answer = await GuideEngine.call({ today: today(), moment: moment(), ...request });
      if (answer.refused || answer.trouble || answer.ok === false) {
        const reason = answer.refused || answer.trouble || answer.reason || answer.detail;
        this.tell(answer.refused ? `Not read: ${reason}` : `This needs the calculators: ${reason} Your record is kept.`);
        return null;
      }
      return answer;
    }

    judgeSoon() {
      clearTimeout(this.judging);
      this.judging = setTimeout(() => this.judge(), JUDGE_AFTER_MS);
    }

    async judge() {
      const asked = (this.asked = (this.asked || 0) + 1);
      const { current } = this;
      if (!current) return; /* back in the list before it came to that */
      if (GuideEngine.state !== "ready") this.headline.textContent = "Your figures are kept. They are judged as soon as the calculators are up.";
      const answer = await GuideEngine.call({ do: "record-judge", record: current.record, today: today() });
      if (asked !== this.asked || this.current !== current) return;
      if (!answer.said) {
        this.headline.textContent = `Not judged: ${answer.refused || answer.reason || answer.trouble || "the calculators gave no answer."} Your figures are kept.`;
        if (GuideEngine.state === "failed" && GuideEngine.retry) {
          this.headline.append(" ", button("Try again", () => { GuideEngine.retry(); this.judge(); }, { "data-retry": "" }));
        }
        return;
      }
      this.draw(answer);
      clearTimeout(this.sheeting);
      this.sheeting = setTimeout(() => this.drawSheet(), SHEET_AFTER_MS);
    }

    draw(answer) {
      for (const place of this.form.querySelectorAll("[data-said]")) {
        const html = answer.said[place.dataset.said] || "";
        if (place.lastHtml !== html) { place.innerHTML = guideHTML(html); place.lastHtml = html; }
        const field = place.closest(".cell") || place.closest("[data-field]");
        const control = field.querySelector("[data-input]");
        const bad = html.includes('data-mark="error"');
        if (control && !field.querySelector("[data-rows]")) {
          if (bad) control.setAttribute("aria-invalid", "true");
          else control.removeAttribute("aria-invalid");
        }
      }
      for (const place of this.form.querySelectorAll("[data-read]")) place.innerHTML = guideHTML(answer.read[place.dataset.read] || "");
      for (const section of this.form.querySelectorAll("[data-section]")) {
        section.dataset.worst = ["error", "stop", "watch"].find((mark) => section.querySelector(`[data-mark="${mark}"]`)) || "";
        const count = section.querySelectorAll('[data-mark="stop"], [data-mark="error"]').length;
        section.querySelector("summary").dataset.flags = count ? `${count} flagged` : "";
      }
      this.verdict.innerHTML = guideHTML(answer.verdict);
      this.headline.textContent = answer.headline;
    }

    async drawSheet() {
      if (!this.current) return false;
      const { current } = this;
      const answer = await GuideEngine.call({ do: "record-sheet", record: current.record, today: today() });
      if (!answer.html || this.current !== current) return false;
      this.paper.innerHTML = guideHTML(answer.html);
      return true;
    }

    async print() {
      if (await this.drawSheet()) window.print();
      else this.tell("The sheet needs the calculators, which could not start. The blank sheet on this page prints without them.");
    }

    /* -- photographs -- */

    async addPhotos(files) {
      const most = Number(this.root.dataset.photos);
      const { current } = this;
      for (const file of files) {
        if (current.record.photos.length >= most) {
          this.tell(`A record holds ${most} photographs. Remove one first.`);
          break;
        }
        try {
          const { data, width, height } = await shrink(file);
          const photo = { id: identifier("p"), caption: "", width, height };
          await this.store.putPhoto(current.id, photo.id, data);
          const record = copyOf(current.record);
          record.photos.push(photo);
          this.take(record);
        } catch (error) {
          const full = error.name === "QuotaExceededError";
          this.tell(full ? "No room for this photograph in the browser's storage. Nothing was changed." : `“${file.name.slice(0, 60)}” is not a picture that this browser can read. Nothing was changed.`);
        }
      }
      this.drawPhotos();
    }

    async drawPhotos() {
      const { current } = this;
      const items = await Promise.all(current.record.photos.map(async (photo, index) => {
        const data = await this.store.getPhoto(current.id, photo.id);
        const id = `record-caption-${index}`;
        const caption = make("input", { type: "text", id, maxlength: "200", autocomplete: "off" });
        caption.value = photo.caption;
        caption.addEventListener("input", () => {
          const record = copyOf(current.record);
          record.photos.find((each) => each.id === photo.id).caption = clean(caption.value);
          this.take(record);
        });
        const picture = data ? make("img", { src: data, alt: photo.caption || `Photograph ${index + 1}`, width: photo.width, height: photo.height }) : make("p", {}, "This picture is not on this device.");
        return make("li", { "data-photo": photo.id }, picture, make("label", { for: id }, `Caption of photograph ${index + 1}`), caption,
          this.sure("Remove the photograph", () => this.dropPhoto(photo.id)));
      }));
      if (this.current && this.current.id === current.id) this.photoList.replaceChildren(...items);
    }

    async dropPhoto(id) {
      const record = copyOf(this.current.record);
      record.photos = record.photos.filter((photo) => photo.id !== id);
      this.take(record);
      await this.store.dropPhoto(this.current.id, id);
      this.drawPhotos();
    }

    /* -- files out -- */

    give(name, parts, type) {
      const link = make("a", { href: URL.createObjectURL(new Blob(parts, { type })), download: name });
      document.body.append(link);
      link.click();
      link.remove();
      setTimeout(() => URL.revokeObjectURL(link.href), 60000);
    }

    /* Needs no calculators: what is kept is the file. */
    exportOne() {
      const { record } = this.current;
      this.give(fileName(record), [JSON.stringify(record, null, 2) + "\n"], "application/json");
    }

    async exportCsv(records) {
      if (!records.length) return this.tell("There is no record to export here.");
      const answer = await this.ask({ do: "record-csv", records });
      if (answer) this.give(answer.file, [answer.text], "text/csv;charset=utf-8");
      return undefined;
    }

    async exportCalendar() {
      const answer = await this.ask({ do: "record-calendar", record: this.current.record });
      if (answer) this.give(answer.file, [answer.text], "text/calendar;charset=utf-8");
    }

    async exportZip() {
      const records = this.shown();
      if (!records.length) return this.tell("There is no record to export here.");
      const fflate = await library("fflate");
      const files = {};
      for (const record of records) {
        files[`records/${fileName(record)}`] = fflate.strToU8(JSON.stringify(record, null, 2) + "\n");
        for (const photo of this.strange(record) ? [] : record.photos) {
          const data = await this.store.getPhoto(record.id, photo.id);
          if (data) files[`photos/${record.id}/${photo.id}.jpg`] = [bytesOf(data), { level: 0 }];
        }
      }
      this.give("records.zip", [fflate.zipSync(files)], "application/zip");
      return undefined;
    }

    /* -- files in: all is read and checked before anything is stored -- */

    async importFiles(files) {
      const found = [];
      const photos = new Map();
      try {
        for (const file of files) await this.open(file, found, photos);
        const records = [];
        for (const { name, text } of found) {
          const answer = await GuideEngine.call({ do: "record-read", text });
          if (!answer.record) throw new Error(`${name}: ${answer.refused || answer.reason || answer.trouble || "not read"}`);
          records.push(answer.record);
        }
        if (!records.length) throw new Error("no record was found in it");
        await this.takeIn(records, photos);
      } catch (error) {
        this.tell(`Not imported, and nothing was changed. ${error.message}`);
      }
    }

    async open(file, found, photos) {
      const largest = Number(this.root.dataset.largest);
      if (/\.zip$/i.test(file.name)) return this.openZip(file, found, photos);
      if (file.size > 4 * largest) throw new Error(`${file.name}: larger than a record can be`);
      found.push({ name: file.name, text: decode(new Uint8Array(await file.arrayBuffer()), file.name) });
      return undefined;
    }

    async openZip(file, found, photos) {
      const largest = 4 * Number(this.root.dataset.largest);
      if (file.size > LARGEST_ZIP) throw new Error(`${file.name}: larger than a set can be`);
      const fflate = await library("fflate");
      let count = 0;
      let total = 0;
      let parts;
      const wanted = (entry) => {
        count += 1;
        total += entry.originalSize;
        if (count > MOST_IN_ZIP || total > LARGEST_ZIP) throw new Error("it holds more than a set can");
        const record = /^records\/[^/\\]+\.json$/.test(entry.name);
        if (record && entry.originalSize > largest) throw new Error(`${entry.name} is larger than a record can be`);
        return record || /^photos\/[a-z0-9-]+\/[a-z0-9-]+\.jpg$/.test(entry.name);
      };
      try {
        parts = fflate.unzipSync(new Uint8Array(await file.arrayBuffer()), { filter: wanted });
      } catch (error) {
        throw new Error(`${file.name}: ${error.message || "it is damaged"}`);
      }
      for (const [name, bytes] of Object.entries(parts)) {
        if (name.startsWith("records/")) found.push({ name: `${file.name}, ${name}`, text: decode(bytes, name) });
        else photos.set(name.slice(7, -4), bytes);
      }
    }

    async takeIn(records, photos) {
      let here = 0;
      let beside = 0;
      for (const record of records) {
        const origin = record.id;
        const stored = await this.store.get(origin);
        if (stored && !stored.deleted && sameText(stored.record, record)) {
          here += 1;
          continue;
        }
        if (stored) {
          beside += 1;
          record.id = identifier("r");
          record.name = `${record.name || "No name"} (imported)`.slice(0, 200);
        }
        await this.add(record);
        for (const photo of record.photos) {
          const bytes = photos.get(`${origin}/${photo.id}`);
          if (!bytes) continue;
          try {
            const { data } = await shrink(new Blob([bytes], { type: "image/jpeg" }));
            await this.store.putPhoto(record.id, photo.id, data);
          } catch { /* a picture that is none: the record says that it is not on this device */ }
        }
      }
      if (this.failed) return;
      this.drawList();
      const told = [`Imported: ${records.length - here}.`];
      if (here) told.push(`Already here, word for word: ${here}.`);
      if (beside) told.push(`Kept beside a record of the same id: ${beside}.`);
      this.tell(told.join(" "));
    }
  }

  const newestVersion = (root) => JSON.parse(root.querySelector("template[data-record-form]").dataset.blank).version;

  const clean = (text) => text.replace(NOT_TEXT, "");

  function decode(bytes, name) {
    try {
      return new TextDecoder("utf-8", { fatal: true }).decode(bytes);
    } catch {
      throw new Error(`${name}: is not UTF-8 text; a record is a JSON file`);
    }
  }

  function fileName(record) {
    const plain = String(record.name || "").toLowerCase().replace(/[^a-z0-9]+/g, "-").replace(/^-|-$/g, "").slice(0, 40);
    return `${plain || record.kind}-${record.id.slice(0, 12)}.json`;
  }

  /* --- mounting --------------------------------------------------------------------- */

  const live = new WeakMap();

  function mount() {
    const root = document.getElementById("record-app");
    const before = window.GuideRecord.app;
    if (before && before.root !== root) {
      before.leave();
      window.GuideRecord.app = null;
    }
    document.documentElement.classList.toggle("record-open", Boolean(root && live.get(root) && live.get(root).current));
    if (!root || live.has(root) || !window.GuideEngine) return;
    const app = new App(root);
    live.set(root, app);
    window.GuideRecord.app = app;
    app.start();
  }

  window.GuideRecord = { mount };
  if (window.document$) window.document$.subscribe(mount);
  if (document.readyState === "loading") document.addEventListener("DOMContentLoaded", mount);
  else mount();
})();
