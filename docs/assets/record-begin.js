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

    /* A new record of the day: from the reader's test where there is one, or a blank one. */
    newDay(mine) {
      const blank = (words, name) => button(words, () => this.create("test-day"), { "data-new": name });
      if (!mine) return [blank("New test-day record", "test-day")];
      return [
        button("New test-day record from your test", () => this.createFrom(mine), { "data-new": "from-test" }),
        blank("New blank test-day record", "test-day"),
      ];
    }

    /* The button that starts a test from the shop's limits, where the guide was built with them. */
    fromShop() {
      const [place] = document.querySelectorAll("template[data-shop-test]");
      if (!place) return [];
      const test = JSON.parse(place.dataset.shopTest);
      const words = `Started from your shop's limits: ${test.name}. The guide did not check them. `
        + "Compare each with the signed WPS.";
      return [button("Start from your shop's limits", () => this.begin(test, words), { "data-new": "shop" })];
    }

    create(kind) {
      const bare_numbers = document.documentElement.dataset.units === "si" ? "si" : "us";
      return this.begin({ ...JSON.parse(this.template(kind).dataset.blank), bare_numbers });
    }

    /* A new record that begins with what is given; `words` are said once, above it. */
    async begin(given, words = "") {
      const record = { ...given, id: identifier("r"), created: moment(), changed: moment() };
      await this.add(record);
      this.openRecord(record.id, words);
      if (navigator.storage && navigator.storage.persist) navigator.storage.persist().catch(() => {});
    }

    async createFrom(mine) {
      const test = await this.store.get(mine.id);
      if (!test || test.deleted) {
        this.tell(`Your test “${mine.name}” is no longer in this browser. Open a blank record, or declare it anew.`);
        return;
      }
      const answer = await this.ask({ do: "test-record", record: test.record, id: identifier("r") });
      if (!answer) return;
      this.begin(answer.record, answer.words);
    }
  }

  Object.assign(GuideRecord, { Beginner });
})();
