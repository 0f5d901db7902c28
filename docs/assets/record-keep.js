/* How records are kept:

   - Every change is written at once to the journal and then to the store. One store write runs at a time; changes
     during it go out with the next. A kill loses at most the key under way.
   - A write that finds another tab's newer revision is not made: both versions are kept, and the reader is told.

   The page (record.js) says what it shows by `tell`, `say`, `drawList`, `showList` and `showAnew`. */
(function () {
  "use strict";
  if (!window.GuideRecord) return;
  const { TAB, ENTRY, OPEN_WAIT_MS, identifier, journal } = GuideRecord;

  const copyOf = (data) => JSON.parse(JSON.stringify(data));
  const withoutTime = (record) => JSON.stringify({ ...record, changed: "" });
  const sameText = (one, other) => withoutTime(one) === withoutTime(other);
  const nameOf = (record) => record.name || "No name";

  function moment() {
    const text = new Date().toISOString().slice(0, 19) + "Z";
    return text.length === 20 ? text : "1970-01-01T00:00:00Z"; /* a clock beyond the year 9999 */
  }

  /* The same record as one of its own. */
  function copyAs(record, why, more) {
    return { ...copyOf(record), id: identifier("r"), name: `${nameOf(record)} (${why})`.slice(0, 200), ...more };
  }

  class Keeper {
    constructor() {
      /* What the store has, by id: {id, record, revision, writer, keys, touched, deleted}. */
      this.entries = new Map();
      /* Entries that the store does not have as they are now. */
      this.waiting = new Set();
      /* The entry of the record that is open. */
      this.current = null;
      /* Why the newest is not kept, in words, or "". */
      this.failed = "";
      this.left = new AbortController();
    }

    /* Opens the best store that there is. Returns what the reader must know of it, or "". */
    async openStore() {
      const { store, kind, words } = await GuideRecord.openStore();
      Object.assign(this, { store, kind, lasting: kind !== "memory" });
      return words;
    }

    async takeOver() {
      await this.recover();
      if (this.kind === "indexed") await this.takeFromSmall();
      for (const entry of await this.store.all()) this.entries.set(entry.id, entry);
      this.listen();
    }

    listen() {
      if (window.BroadcastChannel) {
        this.channel = new BroadcastChannel("guide-record");
        this.channel.onmessage = (event) => this.heard(event.data);
      }
      const until = { signal: this.left.signal };
      window.addEventListener("storage", (event) => {
        if (event.key && event.key.startsWith(ENTRY)) this.heard({ id: event.key.slice(ENTRY.length) });
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

    /* -- what an earlier page left -- */

    /* What a killed page had typed and not stored. One tab at a time, since all of them see the same journal. */
    async recover() {
      const work = async () => {
        for (const kept of journal.all()) await this.recoverOne(kept);
      };
      if (!navigator.locks || !window.AbortSignal || !AbortSignal.timeout) return work();
      /* A tab that sleeps while it holds the lock must not keep this one waiting, nor a browser that denies locks with
         the storage. */
      const signal = AbortSignal.timeout(OPEN_WAIT_MS);
      return navigator.locks.request("guide-record-recover", { signal }, work).catch(work);
    }

    async recoverOne({ key, id, record, base, writer, keys = 0 }) {
      try {
        const stored = await this.store.get(id);
        const own = stored && stored.writer === writer;
        const known = stored && (sameText(stored.record, record) || (own && (stored.keys || 0) >= keys));
        if (!known) {
          const { written } = await this.store.write({ ...stored, id, record, revision: base, writer, keys });
          if (!written && !own) {
            await this.keepCopy(record, "recovered");
            const name = record.name || "a record";
            this.tell(`A page was closed in the middle of “${name}” while another wrote to it. `
              + "Both versions are in the list.");
          }
        }
        /* What forgets when the page closes takes nothing over: the line waits for a store that lasts. */
        if (this.lasting) Guide.local.remove(key);
      } catch (error) {
        this.tell(`What was typed last could not be stored (${(error && error.message) || error}). `
          + "It is kept and tried again at the next start.");
      }
    }

    /* What was kept in the small storage while the database was closed to us comes into the database. */
    async takeFromSmall() {
      try {
        const small = GuideRecord.smallStore();
        for (const entry of await small.all()) {
          const stored = await this.store.get(entry.id);
          let to = entry.id;
          if (stored && !sameText(stored.record, entry.record)) {
            to = (await this.keepCopy(entry.record, "second version")).id;
          } else if (!stored) {
            await this.store.write({ ...entry, revision: 0 });
          }
          for (const { id } of entry.record.photos) await this.copyPhoto(small, entry.id, to, id);
          await small.forget(entry.id);
        }
      } catch { /* it lies there safely, and is tried again at the next start */ }
    }

    async copyPhoto(store, from, to, id) {
      const data = await store.getPhoto(from, id);
      if (data) await this.store.putPhoto(to, id, data);
    }

    async copyPhotos(from, to) {
      for (const { id } of from.photos) await this.copyPhoto(this.store, from.id, to.id, id);
    }

    /* A version that may not take the place of another gets a place of its own. */
    async keepCopy(record, why) {
      const copy = copyAs(record, why);
      const { written } = await this.store.write({ id: copy.id, record: copy, revision: 0, touched: this.nextTouch() });
      this.entries.set(written.id, written);
      await this.copyPhotos(record, copy);
      this.announce(written);
      return written;
    }

    nextTouch() {
      return Math.max(0, ...[...this.entries.values()].map((entry) => entry.touched || 0)) + 1;
    }

    /* -- other tabs -- */

    announce(entry) {
      if (this.channel) this.channel.postMessage({ id: entry.id, revision: entry.revision, writer: TAB });
    }

    /* Another tab wrote: take it over where nothing of ours waits. */
    async heard({ id }) {
      const stored = await this.store.get(id);
      const open = this.current && this.current.id === id;
      if (!stored || !open) {
        if (stored) this.entries.set(id, stored);
        else this.entries.delete(id);
        if (!this.current) this.drawList();
        return;
      }
      if (this.waiting.size || stored.revision <= this.current.revision) return;
      this.entries.set(id, stored);
      this.showAnew(stored);
    }

    /* -- what changes -- */

    /* A new record. Where it can't be kept it still opens, so that nothing stands in the way of writing; the status
       says that it is not kept. */
    async add(record) {
      const entry = { id: record.id, record, revision: 0, touched: this.nextTouch() };
      try {
        const { written } = await this.store.write(entry);
        this.entries.set(written.id, written);
        this.announce(written);
      } catch (error) {
        this.entries.set(entry.id, entry);
        this.waiting.add(entry);
        this.fail(error);
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

    async forget(id) {
      await this.store.forget(id);
      this.entries.delete(id);
      journal.clear(id);
      this.announce({ id, revision: 0 });
      this.drawList();
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
        const { name } = copy.record;
        this.current = { ...copy, record: { ...this.form.read(this.current.record), id: copy.id, name } };
        this.form.name = name;
        this.entries.set(copy.id, this.current);
        this.waiting.add(this.current);
        journal.set(this.current);
      }
      /* What was typed while the copy was made went to the old place: it is in the copy now. */
      this.waiting.delete(entry);
      journal.clear(entry.id);
      this.tell("Another tab changed this record at the same time. Nothing was written over: "
        + "its version stands under the old name, and you go on in a second version.");
    }

    fail(error) {
      const why = Guide.isFull(error) ? "the browser's storage is full"
        : `the browser refused to store it (${(error && error.message) || error})`;
      const then = Guide.isFull(error) ? ", then make room." : ".";
      this.failed = `NOT kept: ${why}. What you typed is on this page only. Export this record now${then}`;
      this.say();
      if (!this.current) this.tell(this.failed);
    }
  }

  Object.assign(GuideRecord, { Keeper, copyOf, copyAs, sameText, nameOf, moment });
})();
