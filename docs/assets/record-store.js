/* Where records lie in this browser: the journal (localStorage, which is synchronous) and the store (IndexedDB).
   Every stored record has a revision and the tab that wrote it. Order and newness go by counters, never by the
   clock. */
(function () {
  "use strict";
  if (!window.GuideEngine) return;
  const { local } = Guide;

  const JOURNAL = "guide.record.journal.";
  const ENTRY = "guide.record.entry.";
  const PHOTO = "guide.record.photo.";
  const PROBE = "guide.record.probe";
  const OPEN_WAIT_MS = 5000;
  const TAB = identifier("t");

  function identifier(first) {
    const bytes = crypto.getRandomValues(new Uint8Array(9));
    return first + [...bytes].map((byte) => byte.toString(16).padStart(2, "0")).join("");
  }

  /* --- the journal: what was typed, before the store has it ---------------------- */

  const journal = {
    set({ id, record, revision, keys }) {
      const line = JSON.stringify({ id, record, base: revision, writer: TAB, keys });
      if (local.set(`${JOURNAL}${id}.${TAB}`, line)) this.clear(id); /* an old line would be worse than none */
    },
    clear(id) {
      local.remove(`${JOURNAL}${id}.${TAB}`);
    },
    all() {
      const found = [];
      for (const key of local.keys().filter((name) => name.startsWith(JOURNAL))) {
        try {
          const kept = JSON.parse(local.get(key));
          if (kept && kept.record && kept.id) found.push({ key, ...kept });
        } catch { /* a torn line: the store has what came before it */ }
      }
      return found;
    },
  };

  /* --- the stores ------------------------------------------------------------------- */

  /* Decides whether a write may be made: `stored` is what lies there now. A tab may follow itself, but never go
     back. */
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
      const idb = await Guide.library("idb");
      const opening = idb.openDB("guide-records", 1, {
        upgrade(db) {
          db.createObjectStore("records", { keyPath: "id" });
          db.createObjectStore("photos");
        },
        blocking(_old, _new, event) { event.target.close(); },
      });
      const slow = new Promise((_, reject) => {
        setTimeout(() => reject(new Error("it did not answer")), OPEN_WAIT_MS);
      });
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
    static small() {
      return new TextStore({
        get: (key) => localStorage.getItem(key), set: (key, text) => localStorage.setItem(key, text),
        delete: (key) => localStorage.removeItem(key), keys: () => Object.keys(localStorage),
      });
    }
    static local() {
      localStorage.setItem(PROBE, "1");
      localStorage.removeItem(PROBE);
      return TextStore.small();
    }
    static memory() { return new TextStore(new Map()); }
    keys() { return [...this.texts.keys()]; }
    async all() {
      return this.keys().filter((key) => key.startsWith(ENTRY)).map((key) => JSON.parse(this.texts.get(key)));
    }
    async get(id) { return JSON.parse(this.texts.get(ENTRY + id) || "null") || undefined; }
    async write(entry) {
      const stored = await this.get(entry.id);
      if (!mayWrite(stored, entry)) return { conflict: stored };
      const written = next(stored, entry);
      this.texts.set(ENTRY + entry.id, JSON.stringify(written));
      return { written };
    }
    async forget(id) {
      for (const key of this.keys()) {
        if (key === ENTRY + id || key.startsWith(`${PHOTO}${id}/`)) this.texts.delete(key);
      }
    }
    async putPhoto(id, photo, data) { this.texts.set(`${PHOTO}${id}/${photo}`, data); }
    async getPhoto(id, photo) { return this.texts.get(`${PHOTO}${id}/${photo}`) || undefined; }
    async dropPhoto(id, photo) { this.texts.delete(`${PHOTO}${id}/${photo}`); }
  }

  /* The best store that this browser gives, and what the reader must know of it. */
  async function openStore() {
    try {
      return { store: await IndexedStore.open(), kind: "indexed", words: "" };
    } catch (error) {
      if (error && error.name === "VersionError") {
        const words = "The records in this browser were written by a newer version of the guide. Nothing was changed. "
          + "What you write here now is not kept: export it.";
        return { store: TextStore.memory(), kind: "memory", words };
      }
    }
    try {
      const words = "This browser refuses its database to this page. Records are kept in its small storage: "
        + "room for the words, and for few photographs. Export often.";
      return { store: TextStore.local(), kind: "local", words };
    } catch {
      const words = "This browser keeps nothing for this page. What you write is gone when the page closes: "
        + "export it before you leave.";
      return { store: TextStore.memory(), kind: "memory", words };
    }
  }

  /* Tells the other tabs what was written. */
  function announce({ id, revision }) {
    if (!window.BroadcastChannel) return;
    const channel = new BroadcastChannel("guide-record");
    channel.postMessage({ id, revision, writer: TAB });
    channel.close();
  }

  window.GuideRecord = { TAB, ENTRY, OPEN_WAIT_MS, identifier, journal, openStore, announce,
    smallStore: TextStore.small };
})();
