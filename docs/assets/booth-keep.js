/* How the days at the booth are kept, as `GuideBooth.Days`. A day is a journal: events are added, never changed or
   taken out, so two versions of a day are put together by uniting their events, whichever tab or store they come from.

   Each event goes into localStorage at once, which a killed page keeps, and then into IndexedDB, which a killed browser
   keeps. A kill loses at most the press under way. The form of an event stands in calc/booth/journal.py. */
(function () {
  "use strict";
  if (!window.GuideBooth || !window.GuideRecord) return;
  const { numbers, local } = Guide;
  const { TAB, identifier } = GuideRecord;

  const DAY = "guide.booth.day.";
  const CURRENT = "guide.booth.current";
  const LAST = "guide.booth.last"; /* when a page last saw the clock of the device */
  const FORM = { format: "plate-test-booth", version: 1 };
  const OPEN_WAIT_MS = 5000;
  const SLACK_MS = 2000;
  const LEAP_MS = 120000;
  const LAST_MS = 5000;

  const eventsOf = (day) => (day && Array.isArray(day.events) ? day.events : []);

  /* Both journals of a day as one. What is no journal of this form counts as none. */
  function united(one, other) {
    if (!one || !other) return one || other;
    const events = new Map([...eventsOf(one), ...eventsOf(other)].map((event) => [event.id, event]));
    const newer = (other.links || 0) > (one.links || 0) ? other : one;
    const { record, given, links } = newer;
    return { ...one, record, given, links, events: [...events.values()].sort((a, b) => a.order - b.order) };
  }

  function parsed(text) {
    try {
      const day = JSON.parse(text || "null");
      return day && day.format === FORM.format && Array.isArray(day.events) ? day : null;
    } catch {
      return null; /* a torn text: the other store has the day */
    }
  }

  class Days {
    constructor() {
      this.known = new Map();
      this.current = null;
      this.trouble = "";
      this.base = null;
    }

    /* The days of both stores. */
    async open() {
      for (const key of local.keys().filter((name) => name.startsWith(DAY))) this.take(parsed(local.get(key)));
      try {
        const idb = await Guide.library("idb");
        const upgrade = (db) => { db.createObjectStore("days", { keyPath: "id" }); };
        const opening = idb.openDB("guide-booth", 1, { upgrade });
        const slow = new Promise((_, reject) => { setTimeout(() => reject(new Error("no answer")), OPEN_WAIT_MS); });
        this.db = await Promise.race([opening, slow]);
        for (const day of await this.db.getAll("days")) this.take(parsed(JSON.stringify(day)));
      } catch {
        this.db = null; /* then localStorage alone keeps them */
      }
      const kept = this.known.get(numbers.get(CURRENT));
      this.current = kept || null;
    }

    take(day) {
      if (day && typeof day.id === "string") this.known.set(day.id, united(this.known.get(day.id), day));
    }

    /* The newest first. */
    list() {
      const last = (day) => Math.max(0, ...eventsOf(day).map(({ at }) => at));
      return [...this.known.values()].sort((one, other) => last(other) - last(one));
    }

    /* Go on with a day, or begin one; it is kept from its first event on. */
    use(day, test = "") {
      this.current = day || { ...FORM, id: identifier("b"), test, events: [] };
      this.known.set(this.current.id, this.current);
      numbers.set(CURRENT, this.current.id);
    }

    /* What another tab has added meanwhile. */
    refresh() {
      const { id } = this.current;
      this.current = united(this.current, parsed(numbers.get(DAY + id)));
      this.known.set(id, this.current);
    }

    /* An event of now, kept before this returns. */
    add(event) {
      this.refresh();
      const now = new Date();
      const order = Math.max(0, ...this.current.events.map((each) => each.order)) + 1;
      const made = { id: `${TAB}.${order}`, order, at: now.getTime(), offset: -now.getTimezoneOffset(), ...event };
      this.current.events.push(made);
      numbers.set(LAST, String(made.at)); /* a step back from here comes after this event, not a little before it */
      this.keep();
      return made;
    }

    /* Which record the day goes into, and what it was given last. */
    link(record, given) {
      this.refresh();
      Object.assign(this.current, { record, given, links: (this.current.links || 0) + 1 });
      this.keep();
    }

    keep() {
      const day = this.current;
      const lost = local.set(DAY + day.id, JSON.stringify(day));
      if (lost) numbers.set(DAY + day.id, JSON.stringify(day));
      this.trouble = "";
      if (lost) this.told(lost);
      this.saved = this.mirror(JSON.parse(JSON.stringify(day)))
        .then(() => { if (lost && this.db) this.trouble = ""; })
        .catch(() => { /* localStorage has it, or the trouble is told */ });
      return this.saved;
    }

    told(lost) {
      const why = lost === "full" ? "This browser has no room left" : "This browser keeps nothing for this page";
      this.trouble = `NOT kept: ${why}. What you press is on this page only: export the day before you leave.`;
    }

    /* The day in IndexedDB, united with what lies there. */
    async mirror(day) {
      if (!this.db) return;
      const work = this.db.transaction("days", "readwrite", { durability: "strict" });
      const stored = await work.store.get(day.id);
      work.store.put(united(day, stored)).catch(() => {});
      await work.done;
    }

    /* --- the clock of the device ---------------------------------------------------------- */

    /* Compares the device's clock with one that nobody can set, and with when a page saw it last. A step back is put
       into the journal, so that no clock runs short by it; a step forward is asked about, since a device that slept
       looks the same. Returns the step forward in milliseconds, or 0. */
    watchClock() {
      const [wall, steady] = [Date.now(), performance.now()];
      const last = Number(numbers.get(LAST)) || 0;
      const before = this.base;
      this.base = { wall, steady };
      if (Math.abs(wall - last) > LAST_MS) numbers.set(LAST, String(wall));
      if (!this.current || !this.current.events.length) return 0;
      if (!before) {
        if (last && wall < last - SLACK_MS) this.jump(wall - last, "?");
        return 0;
      }
      const step = Math.round(wall - before.wall - (steady - before.steady));
      if (step < -SLACK_MS) this.jump(step, "");
      return step > LEAP_MS ? step : 0;
    }

    /* Once for all tabs: the first that notices writes it down. */
    jump(by, mark) {
      this.refresh();
      const now = Date.now();
      const known = this.current.events.some((each) => each.do === "jump" && Math.abs(each.at - now) < 60000
        && Math.abs(parseInt(each.value, 10) - by) < 10000);
      if (!known) this.add({ do: "jump", value: `${by}${mark}` });
    }
  }

  Object.assign(GuideBooth, { Days, eventsOf, parsed });
})();
