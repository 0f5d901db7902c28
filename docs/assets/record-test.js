/* The page of the reader's own test: what it does otherwise than the page of the records. The open test is the active
   one, which every page takes its numbers from (mine.js). Its link carries the whole test in the part of the address
   that never leaves the browser; opening one asks before it replaces anything. */
(function () {
  "use strict";
  if (!window.GuideRecord) return;
  const { make, plainButton: button } = Guide;
  const { identifier, copyOf, nameOf, moment } = GuideRecord;

  const KIND = "plate-test";
  const IN_ADDRESS = "#test=";
  const SHOWN_CHANGES = 2;

  GuideRecord.testApp = (App) => class extends App {
    /* An active test is open at once; a link is told above it. */
    async begin() {
      const until = { signal: this.left.signal };
      window.addEventListener("hashchange", () => this.offerLink(), until);
      this.offered = make("div");
      this.told.after(this.offered);
      this.showList();
      const mine = Guide.mine.get();
      const [newest] = this.shown();
      const active = mine && this.usable(mine.id) ? mine.id : newest && newest.id;
      if (active) this.openRecord(active, { stay: true });
      await this.offerLink();
    }

    usable(id) {
      const entry = this.entries.get(id);
      return Boolean(entry) && !entry.deleted && entry.record.kind === KIND && !this.strange(entry.record);
    }

    /* -- the list -- */

    get tests() {
      return [...this.entries.values()].filter(({ record }) => record.kind === KIND);
    }

    showList() {
      this.none = false;
      super.showList();
      this.none = !this.tests.length;
      if (!this.none) return;
      const search = this.view.querySelector("#record-search").closest(".record-bar");
      search.remove();
      this.list.remove();
      this.view.querySelector("[data-new]").textContent = "Start your test";
      for (const tool of this.view.querySelectorAll("[data-export-zip], [data-export-csv]")) tool.remove();
    }

    drawList() {
      if (this.none && this.tests.length) this.showList();
      else super.drawList();
    }

    lineOf(title, { position, thickness, steel, electrode, diameter }) {
      return [position, thickness, steel, electrode, diameter].filter(Boolean).join(", ") || "Nothing said yet";
    }

    create(kind) {
      const names = new Set(this.tests.map(({ record }) => record.name));
      let name = "Your test";
      for (let number = 2; names.has(name); number += 1) name = `Your test ${number}`;
      return super.create(kind, { name });
    }

    async demo() {
      const answer = await this.ask({ do: "test-demo", id: identifier("r") });
      if (!answer) return;
      await this.add(answer.record);
      this.openRecord(answer.record.id);
      this.tell("This is the invented shop's test. Nobody welds it.");
    }

    async mark(id, change, recordChange) {
      await super.mark(id, change, recordChange);
      const mine = Guide.mine.get();
      if (mine && mine.id === id && !this.usable(id)) Guide.mine.use(null);
    }

    /* -- the open test -- */

    openRecord(id, more) {
      this.before = null;
      this.editing = "";
      super.openRecord(id, more);
    }

    opened() {
      this.first = make("section", { class: "test-answer", "aria-labelledby": "test-first-title" },
        make("h2", { id: "test-first-title" }, "The first answer"), make("p", {}, "Working it out."));
      this.linked = Guide.status();
      const save = () => this.files.exportOne(this.current.record);
      const bar = (...parts) => make("div", { class: "record-bar" }, ...parts);
      return [
        bar(button("All tests", () => { this.save(); this.tell(""); this.showList(); }, { "data-back": "" }),
          button("Copy link", () => this.copyLink(), { "data-copy-test": "" }),
          button("Bench sheet", () => this.print(), { "data-print": "", "aria-label": "Print the bench sheet" })),
        this.linked, this.first, this.status, this.form.element,
        make("section", { class: "record-section", "aria-labelledby": "test-verdict-title" },
          make("h2", { id: "test-verdict-title" }, "Verdicts, worst first"), this.verdict),
        bar(button("New test", () => { this.save(); this.create(KIND); }, { "data-new": KIND }),
          button("Export this test", save, { "data-export": "" }),
          button("For a spreadsheet", () => this.files.exportCsv([this.current.record])),
          button("Delete", () => this.remove(this.current.id))),
        this.headline,
      ];
    }

    changed() {
      if (!this.current) return;
      const near = document.activeElement && document.activeElement.closest("[data-field]");
      const editing = near ? near.dataset.field : "";
      if (editing !== this.editing || !this.before) this.before = copyOf(this.current.record);
      this.editing = editing;
      if (!this.told.querySelector("button")) this.tell("");
      super.changed();
    }

    take(record) {
      super.take(record);
      Guide.mine.due(record.id);
    }

    question() {
      return { do: "test-work", before: this.before };
    }

    judged(answer) {
      this.form.draw(answer);
      this.draw(this.verdict, answer.verdict);
      this.draw(this.first, `<h2 id="test-first-title">The first answer</h2>${answer.first}`);
      const { changes } = answer;
      const more = changes.length - SHOWN_CHANGES;
      const lines = changes.slice(0, SHOWN_CHANGES).concat(more > 0 ? [`${more} more`] : []);
      this.draw(this.headline, `<span data-level="${answer.level}">${answer.headline}</span>`
        + (lines.length ? `<small class="test-changes"> ${lines.join("; ")}.</small>` : ""));
      Guide.mine.keep(answer.mine);
    }

    /* Only what is another than before is drawn anew. */
    draw(place, html) {
      if (place.lastHtml === html) return;
      place.lastHtml = html;
      const open = place.querySelector("details[data-fold][open]");
      place.innerHTML = guideHTML(html);
      if (open) for (const fold of place.querySelectorAll("details[data-fold]")) fold.open = true;
    }

    /* What asks for the bench sheet: with the link that its code carries, where a link leads anywhere. */
    async sheetQuestion() {
      const answer = Guide.onlyHere() ? {} : await GuideEngine.call({ do: "test-link", record: this.current.record });
      return { do: "test-sheet", link: answer.text ? this.linkOf(answer.text) : "" };
    }

    /* -- a link out -- */

    linkOf(text) {
      const link = new URL(location.href);
      link.search = "";
      link.hash = IN_ADDRESS + text;
      return link.href;
    }

    async copyLink() {
      const answer = await this.ask({ do: "test-link", record: this.current.record });
      if (!answer) return;
      await Guide.copyLink(this.linkOf(answer.text), this.linked, "Link copied. It holds the whole test.");
    }

    /* -- a link in -- */

    async offerLink() {
      if (!location.hash.startsWith(IN_ADDRESS)) return;
      const text = location.hash.slice(IN_ADDRESS.length);
      const turn = (this.offering = (this.offering || 0) + 1);
      const leave = button("Leave", () => this.leaveLink(), { "data-leave": "" });
      const title = make("h2", { tabindex: "-1", id: "test-offer-title" }, "This link carries a test");
      const panel = make("section", { class: "test-offer", "aria-labelledby": title.id }, title,
        make("p", {}, "It is read as soon as the calculators are ready. Nothing of yours has changed."),
        make("div", { class: "record-bar" }, leave));
      this.offered.replaceChildren(panel);
      title.focus();
      const mine = this.current && copyOf(this.current.record);
      const answer = await GuideEngine.call(
        { do: "test-open", text, current: mine, id: identifier("r"), moment: moment() });
      if (turn !== this.offering) return;
      if (!answer.record) {
        const why = answer.refused || answer.reason || answer.trouble || "the calculators gave no answer.";
        panel.querySelector("p").textContent = `Not opened: ${why} Nothing of yours has changed.`;
        return;
      }
      panel.querySelector("p").replaceWith(...this.offer(answer, mine));
      const keep = button("Keep as a new test", () => this.keepLink(answer.record), { "data-keep-link": "" });
      const replace = button("Replace mine", () => this.replaceByLink(answer.record), { "data-replace-link": "" });
      leave.before(keep, ...(mine ? [replace] : []));
    }

    /* What a link says, and what it would change of the open test. Its words come as text; figures as Python wrote
       them. */
    offer({ line, changes, refused }, mine) {
      const parts = [make("p", {}, make("strong", {}, line || "It says nothing."))];
      if (mine && !changes.length) parts.push(make("p", {}, `It says the same as “${nameOf(mine)}”.`));
      if (changes.length) {
        parts.push(make("p", {}, mine ? `What it would change in “${nameOf(mine)}”:` : "What it says:"));
        const cell = (tag, label, html) => {
          const made = make(tag, { "data-label": label });
          made.innerHTML = guideHTML(html || "not said");
          return made;
        };
        const rows = changes.map(({ label, before, after }) => make("tr", {}, make("th", { scope: "row" }, label),
          ...(mine ? [cell("td", "Yours", before)] : []), cell("td", "The link", after)));
        const heads = ["Fact", ...(mine ? ["Yours"] : []), "The link"];
        parts.push(make("table", { class: "test-differences" },
          make("thead", {}, make("tr", {}, ...heads.map((head) => make("th", { scope: "col" }, head)))),
          make("tbody", {}, ...rows)));
      }
      if (refused.length) {
        parts.push(make("p", {}, "Not taken from the link:"),
          make("ul", { "data-refused": "" }, ...refused.map((words) => make("li", {}, words))));
      }
      return parts;
    }

    /* The address no longer carries it: a reload does not ask again. */
    leaveLink() {
      this.offering += 1;
      this.offered.replaceChildren();
      if (!Guide.setAddress(location.href.split("#")[0])) location.hash = "";
      const next = this.view.querySelector("button");
      if (next) next.focus();
    }

    async keepLink(record) {
      this.leaveLink();
      await this.add({ ...record, name: record.name || "Test of a link" });
      this.openRecord(record.id);
      this.tell("The test of the link is kept as a new one. Yours is in the list as it was.");
    }

    replaceByLink(record) {
      this.leaveLink();
      if (!this.current) return;
      const before = copyOf(this.current.record);
      const { id, created, bare_numbers: bare } = before;
      this.before = before;
      this.replace({ ...record, id, created, bare_numbers: bare, name: record.name || before.name });
      const undo = () => {
        if (!this.current || this.current.id !== id) this.openRecord(id);
        this.replace(before);
        this.tell("Your test is as it was.");
      };
      this.tell("Your test now says what the link says.", button("Undo", undo, { "data-undo": "" }));
    }
  };
})();
