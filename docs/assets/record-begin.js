/* What a new record begins with: nothing, the reader's own test, or the limits of the shop. */
(function () {
  "use strict";
  if (!window.GuideRecord) return;
  const button = Guide.plainButton;
  const { Keeper, identifier, moment } = GuideRecord;

  class Beginner extends Keeper {
    /* The test that the reader declared, or null (mine.js). */
    mine() {
      return Guide.mine ? Guide.mine.get() : null;
    }

    /* The buttons that begin a record of a kind; one of the day begins with the reader's test where there is one. */
    newOnes({ dataset: { recordForm: kind, one } }) {
      const mine = kind === "test-day" && this.mine();
      const blank = button(`New ${mine ? "blank " : ""}${one}`, () => this.create(kind), { "data-new": kind });
      if (!mine) return [blank];
      return [button(`New ${one} from your test`, () => this.createFrom(mine), { "data-new": "from-test" }), blank];
    }

    /* The button that starts a test from the shop's limits, where the guide was built with them. */
    fromShop() {
      const [place] = document.querySelectorAll("template[data-shop-test]");
      if (!place) return [];
      const test = JSON.parse(place.dataset.shopTest);
      const words = `Started from your shop's limits: ${test.name}. The guide did not check them. `
        + "Compare each with the signed WPS.";
      return [button("Start from your shop's limits", () => this.beginWith(test, words), { "data-new": "shop" })];
    }

    /* Which test a new record of the day would begin with. */
    mineLine() {
      const mine = this.template("test-day") && this.mine();
      return mine ? Guide.make("p", { class: "record-mine" }, `Your test: ${mine.line || mine.name}`) : "";
    }

    create(kind, more) {
      const blank = JSON.parse(this.template(kind).dataset.blank);
      return this.beginWith({ ...blank, bare_numbers: Guide.system(), ...more });
    }

    /* A new record that begins with what is given; `words` are said once, above it. */
    async beginWith(given, words = "") {
      const now = moment();
      const record = { ...given, id: identifier("r"), created: now, changed: now };
      await this.add(record);
      this.openRecord(record.id, { words });
      if (navigator.storage && navigator.storage.persist) navigator.storage.persist().catch(() => {});
    }

    /* The record and its field that the address asks for, as the page of the booth does: `#open-ID/place`. */
    openAsked() {
      const [, id, place] = /^#open-([a-z0-9-]+)\/([\w/-]*)$/.exec(location.hash) || [];
      const entry = this.entries.get(id);
      if (!entry || entry.deleted || this.strange(entry.record)) return;
      this.openRecord(id);
      const control = document.getElementById(`record-${place.replaceAll("/", "-")}`)
        || this.root.querySelector(`[data-field="${CSS.escape(place.split("/")[0])}"] :is(input, select, button)`);
      if (!control) return;
      control.closest("details").open = true;
      control.scrollIntoView({ block: "center" });
      control.focus({ preventScroll: true });
    }

    async createFrom(mine) {
      const test = await this.store.get(mine.id);
      if (!test || test.deleted) {
        this.tell(`Your test “${mine.name}” is no longer in this browser. Open a blank record, or say it anew.`);
        return;
      }
      const answer = await this.ask({ do: "test-record", record: test.record, id: identifier("r") });
      if (!answer) return;
      this.beginWith(answer.record, answer.words);
    }
  }

  Object.assign(GuideRecord, { Beginner });
})();
