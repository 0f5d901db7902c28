/* The reader's own test on every page, as `Guide.mine`. The test itself lies among the records (record-store.js); what
   the other pages need of it is kept as one text, as Python worked it out: {id, name, line, fills, own, prose, values}.
   Document event `guide-mine`: it changed, here or in another tab. */
(function () {
  "use strict";
  const { numbers, system, today } = Guide;

  const KEY = "guide.mine";
  /* A test that was changed, and not yet worked out anew: the next page that has the calculators does it. */
  const DUE = "guide.mine.due";
  const TRIES = 3;

  let text;
  let parsed = null;

  function read(kept) {
    try {
      const found = JSON.parse(kept);
      const parts = found && [found.fills, found.own, found.prose, found.values];
      return parts && typeof found.id === "string" && parts.every((part) => part && typeof part === "object")
        ? found : null;
    } catch {
      return null;
    }
  }

  /* The active test, or null. The same object until it changes. */
  function get() {
    const kept = numbers.get(KEY) || "";
    if (kept !== text) {
      text = kept;
      parsed = read(kept);
    }
    return parsed;
  }

  function tell() {
    document.dispatchEvent(new CustomEvent("guide-mine", { detail: get() }));
  }

  /* What Python worked out of the active test; null where there is none from now on. */
  function keep(mine) {
    const before = numbers.get(KEY) || "";
    const now = mine ? JSON.stringify(mine) : "";
    if (now) numbers.set(KEY, now);
    else numbers.remove(KEY);
    numbers.remove(DUE);
    if (before !== now) tell();
  }

  /* The active test has changed, and is to be worked out anew. */
  function due(id) {
    if (numbers.get(DUE) !== id) numbers.set(DUE, id);
  }

  /* --- the test among the records -------------------------------------------------- */

  let opening = null;

  async function stored(id) {
    const { app } = GuideRecord;
    opening = opening || GuideRecord.openStore();
    const store = app && app.store ? app.store : (await opening).store;
    const entry = await store.get(id);
    return { store, entry: entry && !entry.deleted ? entry : null };
  }

  /* The active test as its record, or null. */
  async function record() {
    const mine = get();
    const { entry } = mine ? await stored(mine.id) : { entry: null };
    return entry && entry.record;
  }

  const why = (answer) => answer.refused || answer.reason || answer.trouble || "the calculators gave no answer.";

  /* Make another kept test the active one, or none (null). Returns "", or why it could not be done. */
  async function use(id) {
    if (!id) {
      keep(null);
      return "";
    }
    const { entry } = await stored(id);
    if (!entry) return "This test is not in this browser.";
    const answer = await GuideEngine.call({ do: "test-work", record: entry.record, today: today() });
    if (!answer.mine) return why(answer);
    keep(answer.mine);
    return "";
  }

  /* One after another: each starts from what the one before has kept. */
  let last = Promise.resolve("");

  /* Write one fact of the active test. A bare number is read in the system of the page. Returns "", or why the fact
     was not taken. */
  function set(field, said) {
    last = last.then(() => write(field, said)).catch((error) => `Not kept: ${(error && error.message) || error}.`);
    return last;
  }

  async function write(field, said) {
    const mine = get();
    if (!mine) return "There is no test of yours yet.";
    const { app } = GuideRecord;
    const open = app && app.current && app.current.id === mine.id && app.current;
    if (open) await app.save();
    for (let tries = 0; tries < TRIES; tries += 1) {
      const { store, entry } = open ? { entry: open } : await stored(mine.id);
      if (!entry) return "Your test is no longer in this browser.";
      const question = { do: "test-set", record: entry.record, field, text: said, system: system(), today: today() };
      const answer = await GuideEngine.call(question);
      if (!answer.record) return why(answer);
      if (open) {
        app.replace(answer.record);
        return "";
      }
      const keys = (entry.keys || 0) + 1;
      const { written } = await store.write({ ...entry, record: answer.record, writer: GuideRecord.TAB, keys });
      if (!written) continue;
      GuideRecord.announce(written);
      keep(answer.mine);
      return "";
    }
    return "Another tab is writing to your test. Try again.";
  }

  /* --- other tabs, and what an earlier page left ------------------------------------- */

  window.addEventListener("storage", (event) => {
    if (event.key === KEY || event.key === null) tell();
  });

  document.addEventListener("guide-engine", () => {
    const id = GuideEngine.state === "ready" && numbers.get(DUE);
    const mine = id && get();
    const { app } = window.GuideRecord || {};
    if (mine && mine.id === id && !(app && app.current)) use(id);
  });

  Guide.mine = { get, record, set, use, keep, due };
})();
