/* What stands under the board of the booth: the record that the day goes into, the other days, and the choices of this
   device: sound, screen, hand. */
(function () {
  "use strict";
  if (!window.GuideBooth || !GuideBooth.Days) return;
  const { make, say, today } = Guide;
  const { choices, parsed } = GuideBooth;
  const { TAB, identifier, moment } = GuideRecord;

  const TRIES = 3;
  const key = (words, onclick, attributes) => Guide.button(words, onclick, { class: "booth-key", ...attributes });

  class More {
    constructor(booth) {
      this.booth = booth;
      this.days = booth.days;
      const at = (name) => booth.root.querySelector(`[data-more="${name}"]`);
      this.places = { record: at("record"), days: at("days"), device: at("device"), asks: at("asks") };
      this.device();
      this.drawDays();
    }

    pressed({ dataset }) {
      if (dataset.take) this.put([dataset.take]);
      if (dataset.openRecord) {
        const place = `record.html#open-${this.days.current.record}/${dataset.openRecord}`;
        location.assign(new URL(place, location.href));
      }
    }

    /* After each change of the board: the record follows. */
    drawn() {
      const { record, events } = this.days.current;
      if (!record) this.offer();
      else if (this.putCount !== `${record} ${events.length}`) this.put([]);
      if (this.listed !== this.days.known.size) this.drawDays();
      this.lockScreen();
    }

    /* -- the record -- */

    async offer() {
      if (this.offered === this.days.current.id) return;
      this.offered = this.days.current.id;
      const entries = (await this.booth.store.all()).filter(({ deleted, record }) => !deleted && !record.archived
        && record.kind === "test-day");
      const select = make("select", { id: "booth-record" },
        make("option", { value: "" }, "A new record from your test"),
        ...entries.map(({ record }) => make("option", { value: record.id }, record.name || "No name")));
      this.places.record.replaceChildren(
        make("p", {}, make("label", { for: "booth-record" }, "Record of the day "), select),
        key("Put the day into the record", () => this.linkTo(select.value), { "data-put": "" }));
    }

    async linkTo(chosen) {
      const { booth } = this;
      let id = chosen;
      if (!id) {
        const test = await booth.testRecord();
        if (!test) {
          return say(booth.said, "A new record begins with your test. Say your test first, or choose a record.");
        }
        const question = { do: "test-record", record: test, id: identifier("r"), moment: moment() };
        const answer = await GuideEngine.call(question);
        if (!answer.record) return say(booth.said, `Not put: ${answer.refused || answer.reason || answer.trouble}`);
        const touched = Math.max(0, ...(await booth.store.all()).map((entry) => entry.touched || 0)) + 1;
        await booth.store.write({ id: answer.record.id, record: answer.record, revision: 0, touched });
        id = answer.record.id;
      }
      this.days.link(id, {});
      return this.put([]);
    }

    /* The day into its record; each try starts from what lies there now. */
    async put(take) {
      const { booth, days } = this;
      const { record: id, events } = days.current;
      this.putCount = `${id} ${events.length}`;
      for (let tries = 0; tries < TRIES; tries += 1) {
        const entry = await booth.store.get(id);
        if (!entry || entry.deleted) return this.lost();
        const answer = await GuideEngine.call({
          do: "booth-record", day: days.current, now: Date.now(), test: await booth.testRecord(), record: entry.record,
          before: days.current.given || {}, take, today: today(),
        });
        if (!answer.record) {
          const why = answer.refused || answer.reason || answer.trouble;
          return say(booth.said, `Not put into the record: ${why}`);
        }
        if (answer.changed) {
          const record = { ...answer.record, changed: moment() };
          const { written } = await booth.store.write({ ...entry, record, writer: TAB, keys: (entry.keys || 0) + 1 });
          if (!written) continue;
          GuideRecord.announce(written);
        }
        days.link(id, answer.given);
        return this.listMissing(answer, entry.record.name);
      }
      return say(booth.said, "Another tab is writing to the record. Press again.");
    }

    lost() {
      this.days.link("", {});
      this.offered = "";
      this.offer();
      say(this.booth.said, "The record of this day is no longer in this browser. The day is: choose another record.");
    }

    listMissing({ missing, headline }, name) {
      const list = make("div", {});
      list.innerHTML = guideHTML(missing);
      const open = make("a", { href: "record.html", class: "booth-key" }, "Open the records");
      this.places.record.replaceChildren(
        make("p", { "data-put-done": "" }, `The day goes into “${name || "No name"}” by itself. ${headline}`),
        make("h3", {}, "What is missing"), list, open);
    }

    /* -- the days -- */

    drawDays() {
      const { current } = this.days;
      this.listed = this.days.known.size;
      const file = make("input", { type: "file", id: "booth-import", accept: ".json,application/json" });
      file.addEventListener("change", () => this.read(file));
      const items = this.days.list().filter((day) => day.events.length && day.id !== current.id).map((day) => {
        const [first] = day.events;
        const words = `${new Date(first.at).toLocaleDateString()}, ${day.events.length} events`;
        return make("li", {}, make("span", {}, words), key("Go on with it", () => this.use(day)));
      });
      this.places.days.replaceChildren(
        make("div", { class: "booth-keys" }, key("Begin a new day", () => this.use(null), { "data-new-day": "" }),
          key("Export this day", () => this.export(), { "data-export-day": "" })),
        make("p", {}, make("label", { for: "booth-import" }, "Import a day "), file),
        make("ul", { class: "booth-events" }, ...items));
    }

    use(day) {
      const mine = Guide.mine.get();
      this.days.use(day, mine ? mine.id : "");
      this.offered = "";
      this.places.record.replaceChildren();
      this.drawDays();
      this.booth.draw();
    }

    export() {
      const { record, given, links, ...day } = this.days.current;
      Guide.download(`booth-${today()}.json`, JSON.stringify(day, null, 1));
    }

    async read(file) {
      const [chosen] = file.files;
      const day = parsed(await chosen.text());
      const answer = day && await GuideEngine.call({ do: "booth-board", day, now: Date.now(), test: null });
      file.value = "";
      if (!answer || !answer.now) {
        const why = answer ? answer.refused || answer.reason || answer.trouble : "it is no day at the booth.";
        return say(this.booth.said, `Not read: ${why}`);
      }
      const { format, version, id, test, events } = day;
      this.days.take({ format, version, id, test, events });
      this.days.use(this.days.known.get(id));
      this.days.keep();
      return this.use(this.days.known.get(id));
    }

    /* -- a clock of the device that went ahead -- */

    askLeap(by) {
      const minutes = Math.round(by / 60000);
      const told = make("div", { class: "booth-spent", role: "alert" },
        make("p", {}, `The clock of this device went ahead by ${minutes} min while this page stood still. It slept, or `
          + "the clock was set."),
        key("It slept: count the time", () => told.remove(), { "data-leap": "slept" }),
        key("The clock was set: leave the time out", () => {
          told.remove();
          this.booth.press({ do: "jump", value: String(by) });
        }, { "data-leap": "set" }));
      this.places.asks.append(told);
    }

    /* -- this device -- */

    device() {
      const { sound, awake, hand } = choices.get();
      this.said = Guide.status({ "data-device-said": "" });
      const choose = (words, on, act, name) => {
        const made = key(words, () => act(made), { "aria-pressed": String(on), [`data-${name}`]: "" });
        return made;
      };
      const toggled = (made) => {
        const on = made.getAttribute("aria-pressed") !== "true";
        made.setAttribute("aria-pressed", String(on));
        return on;
      };
      this.places.device.replaceChildren(make("div", { class: "booth-keys" },
        choose("Sound when a clock runs out", sound, (made) => choices.set({ sound: toggled(made) }), "sound"),
        key("Test the sound", () => this.test(), { "data-test-sound": "" }),
        choose("Keep the screen on", awake, (made) => this.keepAwake(toggled(made)), "awake"),
        choose("Left-handed", hand === "left", (made) => this.hand(toggled(made) ? "left" : "right"), "hand")),
      this.said);
      this.hand(hand);
      const { signal } = this.booth.left;
      document.addEventListener("visibilitychange", () => this.lockScreen(), { signal });
    }

    hand(hand) {
      choices.set({ hand });
      this.booth.root.dataset.hand = hand;
    }

    test() {
      GuideBooth.wakeSound();
      const heard = () => say(this.said, GuideBooth.signal()
        ? "You should hear three tones. If not, turn the volume up, and the silent mode off."
        : "This browser gives this page no sound. Look at the clocks.");
      setTimeout(heard, 200);
    }

    keepAwake(on) {
      choices.set({ awake: on });
      if (!on) say(this.said, "");
      this.lockScreen();
    }

    /* The screen stays on while a clock runs, where the reader chose it and the browser lets it. */
    async lockScreen() {
      const wanted = () => choices.get().awake && GuideBooth.running().length > 0 && !document.hidden
        && !this.booth.left.signal.aborted;
      if (!wanted()) {
        if (this.lock) this.lock.release().catch(() => {});
        this.lock = null;
        return;
      }
      if (this.asking || (this.lock && !this.lock.released)) return;
      if (!navigator.wakeLock) {
        say(this.said, "This browser cannot keep the screen on for this page. It needs a page from a server with "
          + "https: not over plain http, and not in every browser from a folder. Set the device to stay on.");
        return;
      }
      this.asking = true;
      try {
        this.lock = await navigator.wakeLock.request("screen");
        say(this.said, "The screen stays on while a clock runs and this page is in front.");
      } catch (error) {
        say(this.said, `The device refused to keep the screen on (${error.message}). Set it to stay on.`);
      }
      this.asking = false;
      if (!wanted()) this.lockScreen();
    }
  }

  Object.assign(GuideBooth, { More });
})();
