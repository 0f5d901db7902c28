/* The page of the test-day record: the list, the open record, what Python says of it. How records are kept stands in
   record-keep.js, what the page of the reader's own test does otherwise in record-test.js. No limit of the trade,
   formula or verdict stands here. */
(function () {
  "use strict";
  if (!window.GuideRecord) return;
  const { make, say, today } = Guide;
  const { Beginner, RecordForm, Photos, Files, identifier, copyAs, nameOf, moment } = GuideRecord;

  const JUDGE_AFTER_MS = 120;
  const SHEET_AFTER_MS = 700;
  const SURE_WITHIN_MS = 4000;
  const FILTERS = [["used", "In use"], ["archived", "Archived"], ["deleted", "Deleted"]];

  const button = Guide.plainButton;
  const bar = (...parts) => make("div", { class: "record-bar" }, ...parts);
  const field = (label, control) => make("div", { class: "field" }, make("label", { for: control.id }, label), control);

  class App extends Beginner {
    constructor(root) {
      super();
      this.root = root;
      this.filter = "used";
      this.search = "";
      this.asked = 0;
      this.files = new Files(this);
      this.place = make("p", { class: "notice", hidden: "" });
      this.told = make("div", { class: "record-told", role: "status" });
      this.view = make("div");
      this.paper = make("div", { class: "record-paper" });
      root.append(this.place, this.told, this.view, this.paper);
      root.classList.add("record-live");
    }

    async start() {
      this.view.append(make("p", {}, "Looking for your records."));
      const words = await this.openStore();
      this.place.hidden = !words;
      this.place.textContent = words;
      await this.takeOver();
      await this.begin();
      this.root.dataset.ready = this.kind;
    }

    /* What is seen first. */
    begin({ signal } = this.left) {
      document.addEventListener("guide-mine", () => { if (!this.current) this.showList(); }, { signal });
      this.showList();
      this.openAsked();
    }

    get templates() {
      return [...this.root.querySelectorAll("template[data-record-form]")];
    }

    tell(words, ...extra) {
      this.told.replaceChildren(words ? make("p", {}, words, " ", ...extra) : "");
    }

    template(kind) {
      return this.root.querySelector(`template[data-record-form="${CSS.escape(kind)}"]`);
    }

    /* A second press within four seconds does it. */
    sure(words, act) {
      const made = button(words, () => {
        if (made.dataset.sure) return act();
        made.dataset.sure = "yes";
        made.textContent = "Press once more: this cannot be undone";
        setTimeout(() => { delete made.dataset.sure; made.textContent = words; }, SURE_WITHIN_MS);
      });
      return made;
    }

    /* -- the list -- */

    showList() {
      this.current = null;
      this.paper.replaceChildren();
      document.documentElement.classList.remove("record-open");
      const search = make("input", { type: "search", id: "record-search", autocomplete: "off" });
      search.value = this.search;
      search.addEventListener("input", () => { this.search = search.value; this.drawList(); });
      const filter = make("select", { id: "record-filter" },
        ...FILTERS.map(([value, words]) => make("option", { value, selected: value === this.filter }, words)));
      filter.addEventListener("change", () => { this.filter = filter.value; this.drawList(); });
      const accept = ".json,.zip,application/json,application/zip";
      const file = make("input", { type: "file", id: "record-import", accept, multiple: "" });
      file.addEventListener("change", async () => { await this.files.importAll([...file.files]); file.value = ""; });
      const set = () => this.files.exportZip(this.shown());
      const sheet = () => this.files.exportCsv(this.shown().filter((record) => !this.strange(record)));
      this.list = make("ul", { class: "record-list" });
      this.view.replaceChildren(
        bar(...this.templates.flatMap((each) => this.newOnes(each)), ...this.fromShop()), this.mineLine(),
        bar(field("Search", search), field("Show", filter)), this.list,
        bar(
          field("Import a record (.json) or a set (.zip)", file),
          button("Export the shown records as a set", set, { "data-export-zip": "" }),
          button("Export the shown records for a spreadsheet", sheet, { "data-export-csv": "" }),
          button("Add the invented example", () => this.demo(), { "data-demo": "" })));
      this.drawList();
    }

    shown() {
      const wanted = this.search.toLowerCase().split(/\s+/).filter(Boolean);
      const fits = ({ deleted, record }) => {
        const state = deleted ? "deleted" : record.archived ? "archived" : "used";
        const text = JSON.stringify([record.name, record.values, record.rows]).toLowerCase();
        return !this.elsewhere(record) && state === this.filter && wanted.every((word) => text.includes(word));
      };
      const entries = [...this.entries.values()].filter(fits);
      return entries.sort((one, other) => (other.touched || 0) - (one.touched || 0)).map((entry) => entry.record);
    }

    /* Whether another page of the guide lists this kind. */
    elsewhere({ kind }) {
      return this.root.dataset.kinds.split(" ").includes(kind) && !this.template(kind);
    }

    drawList() {
      const records = this.shown();
      this.list.replaceChildren(...records.map((record) => this.item(record)));
      const none = this.search ? "No record holds these words." : "No record here yet.";
      if (!records.length) this.list.append(make("li", {}, none));
    }

    item(record) {
      if (this.strange(record)) return this.strangeItem(record);
      const { id, kind, values, archived, invented } = record;
      const name = nameOf(record);
      const line = this.lineOf(this.template(kind).dataset.title, values);
      const open = button(name, () => this.openRecord(id), { class: "record-name", "data-open": id });
      open.disabled = Boolean(this.entries.get(id).deleted);
      const back = archived ? "Back into use" : "Archive";
      const tool = (words, act, label, more) => button(words, act, { "aria-label": label, ...more });
      const tools = open.disabled
        ? [
          tool("Put back", () => this.mark(id, { deleted: false }), `Put back ${name}`),
          this.sure("Remove for good", () => this.forget(id)),
        ] : [
          tool("Duplicate", () => this.duplicate(record), `Duplicate ${name}`, { "data-duplicate": "" }),
          tool(back, () => this.archive(id), `${back}: ${name}`, { "data-archive": "" }),
          tool("Delete", () => this.remove(id), `Delete ${name}`, { "data-delete": "" }),
        ];
      return make("li", { "data-record": id }, open,
        make("p", {}, line + (invented && !line.includes("(invented)") ? " (invented)" : "")),
        make("div", { class: "record-tools" }, ...tools));
    }

    /* What the list says of a record under its name. */
    lineOf(title, { date, welder, plate_mark: mark, position, thickness }) {
      return [title, date, welder, mark, position, thickness].filter(Boolean).join(", ");
    }

    /* Why this version of the guide cannot hold a record in its form, or "". Such a record is shown, and never written
       to. */
    strange(record) {
      const template = record && this.template(String(record.kind));
      const parts = record && [record.values, record.rows, record.photos];
      const whole = parts && parts.every((part) => part && typeof part === "object");
      const { version } = JSON.parse(this.templates[0].dataset.blank);
      const newer = whole && Number.isInteger(record.version) && record.version > version;
      if (newer) return "written by a newer version of the guide";
      return template && whole ? "" : "damaged, or of a kind that this version of the guide does not know";
    }

    strangeItem(record) {
      const name = String(nameOf(record));
      const save = () => this.files.exportOne(record, `${record.id}.json`);
      return make("li", { "data-record": record.id, "data-strange": "" }, make("p", { class: "record-name" }, name),
        make("p", { class: "notice" }, `This record is ${this.strange(record)}. It is left as it is and not opened `
          + "here. Reload the page to get the newest version of the guide, or export the record."),
        make("div", { class: "record-tools" },
          button("Export this record", save, { "aria-label": `Export ${name}` })));
    }

    async remove(id) {
      const name = nameOf(this.entries.get(id).record);
      await this.save();
      await this.mark(id, { deleted: true });
      if (this.current) this.showList();
      const back = async () => {
        await this.mark(id, { deleted: false });
        this.tell(`“${name}” is back.`);
      };
      this.tell(`“${name}” is deleted. It waits under Deleted until you remove it for good.`,
        button("Undo", back, { "data-undo": "" }));
    }

    async archive(id) {
      const { archived } = this.entries.get(id).record;
      await this.mark(id, {}, { archived: !archived });
      this.tell(archived ? "Back in use." : "Archived. Choose Archived under Show to see it.");
    }

    async duplicate(record) {
      const copy = copyAs(record, "copy", { created: moment(), changed: moment() });
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

    openRecord(id, { stay = false, words = "" } = {}) {
      this.current = this.entries.get(id);
      this.current.touched = this.nextTouch();
      this.tell("");
      const { record } = this.current;
      this.form = new RecordForm(this.template(record.kind), () => this.changed(), (select) => this.switchBare(select));
      this.photos = new Photos(this);
      this.status = Guide.status({ class: "record-status", "data-status": "" });
      this.verdict = make("div", { "data-verdict": "" });
      this.headline = make("p", { class: "headline", "data-record-headline": "" });
      this.view.replaceChildren(...this.opened(record));
      if (words) this.form.element.before(make("p", { class: "notice", "data-taken": "" }, words));
      document.documentElement.classList.add("record-open");
      this.form.fill(record);
      this.photos.draw();
      this.say("Kept in this browser.");
      this.judge();
      if (!stay) this.view.scrollIntoView();
      if (!stay) this.view.querySelector("button").focus({ preventScroll: true });
    }

    /* The parts of an open record. */
    opened(record) {
      const log = record.kind === "continuity";
      const calendar = () => this.files.exportCalendar(this.current.record);
      return [
        bar(
          button("All records", () => { this.save(); this.showList(); }, { "data-back": "" }),
          button("Print the sheet", () => this.print(), { "data-print": "" }),
          button("Export this record", () => this.files.exportOne(this.current.record), { "data-export": "" }),
          button("For a spreadsheet", () => this.files.exportCsv([this.current.record])),
          ...(log ? [button("Due date for a calendar", calendar, { "data-calendar": "" })] : []),
          button("Delete", () => this.remove(this.current.id))),
        this.status, this.form.element, this.photos.section(),
        make("section", { class: "record-section", "aria-labelledby": "record-verdict-title" },
          make("h2", { id: "record-verdict-title" }, log ? "Where it stands" : "Verdict by specimen and test"),
          this.verdict),
        this.headline,
      ];
    }

    changed() {
      if (!this.current) return; /* a field that is taken away tells that it changed */
      this.take(this.form.read(this.current.record));
      this.form.count();
      this.judgeSoon();
    }

    /* Another tab wrote a newer version of what is open. */
    showAnew(entry) {
      const { record } = entry;
      const strange = this.strange(record);
      if (strange) {
        this.showList();
        this.tell(`“${nameOf(record)}” is now ${strange}. It was changed in another tab, and is closed here `
          + "so that nothing of it is lost.");
        return;
      }
      this.current = entry;
      this.form.fill(record);
      this.judgeSoon();
      this.tell("This record was changed in another tab. You see the newer version.");
    }

    /* What is kept, unless something is not. */
    say(words = "") {
      if (!this.status) return;
      say(this.status, this.failed || words);
      this.status.classList.toggle("record-failed", Boolean(this.failed));
    }

    async switchBare(select) {
      const before = this.form.read(this.current.record);
      const answer = await this.ask({ do: "record-bare", record: before, bare: select.value });
      if (!answer || !answer.record) {
        select.value = before.bare_numbers;
        return;
      }
      this.replace(answer.record);
    }

    /* The open record as another part of the page made it. */
    replace(record) {
      this.form.fill(record);
      this.take(record);
      this.judge();
    }

    /* -- what Python says -- */

    async ask(request) {
      const answer = await GuideEngine.call({ today: today(), moment: moment(), ...request });
      if (!answer.refused && !answer.trouble && answer.ok !== false) return answer;
      const reason = answer.refused || answer.trouble || answer.reason || answer.detail;
      this.tell(answer.refused ? `Not read: ${reason}`
        : `This needs the calculators: ${reason} Your record is kept.`);
      return null;
    }

    judgeSoon() {
      clearTimeout(this.judging);
      this.judging = setTimeout(() => this.judge(), JUDGE_AFTER_MS);
    }

    async judge() {
      const asked = ++this.asked;
      const { current, headline } = this;
      if (!current) return; /* back in the list before it came to that */
      if (GuideEngine.state !== "ready") {
        headline.textContent = "Your figures are kept. They are judged as soon as the calculators are ready.";
      }
      const answer = await GuideEngine.call({ ...this.question(), record: current.record, today: today() });
      if (asked !== this.asked || this.current !== current) return;
      if (!answer.said) {
        const why = answer.refused || answer.reason || answer.trouble || "the calculators gave no answer.";
        headline.textContent = `Not judged: ${why} Your figures are kept.`;
        if (GuideEngine.state === "failed" && GuideEngine.retry) {
          const retry = () => { GuideEngine.retry(); this.judge(); };
          headline.append(" ", button("Try again", retry, { "data-retry": "" }));
        }
        return;
      }
      this.judged(answer);
    }

    /* What Python is asked for at each change. */
    question() {
      return { do: "record-judge" };
    }

    judged(answer) {
      this.form.draw(answer);
      this.verdict.innerHTML = guideHTML(answer.verdict);
      this.headline.textContent = answer.headline;
      clearTimeout(this.sheeting);
      this.sheeting = setTimeout(() => this.drawSheet(), SHEET_AFTER_MS);
    }

    /* What Python is asked for to print. */
    sheetQuestion() {
      return { do: "record-sheet" };
    }

    async drawSheet() {
      const { current } = this;
      if (!current) return false;
      const question = await this.sheetQuestion();
      const answer = await GuideEngine.call({ ...question, record: current.record, today: today() });
      if (!answer.html || this.current !== current) return false;
      this.paper.innerHTML = guideHTML(answer.html);
      return answer;
    }

    async print() {
      const drawn = await this.drawSheet();
      if (drawn) {
        if (drawn.told) this.tell(`${drawn.told}.`);
        window.print();
      } else {
        this.tell("The sheet needs the calculators, which could not start. "
          + "The blank sheet on this page prints without them.");
      }
    }
  }

  /* --- mounting --------------------------------------------------------------------- */

  const APPS = { record: App, test: GuideRecord.testApp(App) };
  const live = new WeakMap();

  function mount() {
    const root = document.getElementById("record-app");
    const before = GuideRecord.app;
    if (before && before.root !== root) {
      before.leave();
      GuideRecord.app = null;
    }
    document.documentElement.classList.toggle("record-open", Boolean(root && live.get(root) && live.get(root).current));
    if (!root || live.has(root)) return;
    const app = new APPS[root.dataset.app](root);
    live.set(root, app);
    GuideRecord.app = app;
    app.start();
  }

  Guide.onPage(mount);
})();
