/* The class that the reader is in, on its page: opened by a link, a file, a drop, or a file beside the guide; its test
   taken over, its day and minutes used, the class left. Nothing of the reader's is replaced. */
(function () {
  "use strict";
  if (!window.GuideRecord || !window.GuidePractice) return;
  const { make, plainButton: button, numbers, ofClass } = Guide;
  const { IN_ADDRESS, TAKEN } = ofClass;

  const LARGEST = 2e6;
  const NONE = "You are in no class. Your instructor gives you a link, a code to scan, or a file.";
  const why = (answer) => answer.refused || answer.reason || answer.trouble || "the calculators gave no answer.";
  const bar = (...parts) => make("p", { class: "class-bar" }, ...parts);

  class Yours {
    constructor(root) {
      this.root = root;
      this.said = Guide.status();
      this.asked = make("div");
      this.shown = make("div", { class: "class-shown" });
      const picker = make("input", { type: "file", id: "class-file-in", accept: ".json,application/json" });
      picker.addEventListener("change", async () => {
        const [file] = picker.files;
        picker.value = "";
        if (file) await this.file(file);
      });
      this.way = make("div", { class: "field" },
        make("label", { for: picker.id }, "Open a class file, or drop it here"), picker);
      root.addEventListener("dragover", (event) => event.preventDefault());
      root.addEventListener("drop", (event) => {
        event.preventDefault();
        const [file] = event.dataTransfer.files;
        if (file) this.file(file);
      });
      root.replaceChildren(this.said, this.asked, this.shown, this.way);
      Guide.listenFor(root, document, "guide-class", () => this.show());
      Guide.listenFor(root, document, "guide-mine", () => this.buttons());
      Guide.listenFor(root, window, "hashchange", () => this.linked());
      this.begin();
    }

    async begin() {
      const drawn = this.show();
      if (location.hash.startsWith(IN_ADDRESS)) await this.linked();
      else {
        const file = await ofClass.beside();
        if (file) await this.open({ text: file }, true);
      }
      await drawn;
    }

    /* -- ways in -- */

    async linked() {
      if (!location.hash.startsWith(IN_ADDRESS)) return;
      const link = location.hash.slice(IN_ADDRESS.length);
      /* The address no longer carries it: a reload does not open it again. */
      if (!Guide.setAddress(`${location.href.split("#")[0]}#class-yours`)) location.hash = "#class-yours";
      this.root.scrollIntoView();
      await this.open({ link });
    }

    async file(file) {
      if (file.size > LARGEST) {
        this.said.textContent = `Not opened: ${file.name} is larger than a class file can be. Nothing has changed.`;
        return;
      }
      const data = await Guide.bytesOf(file).catch(() => null);
      if (data !== null) await this.open({ data });
      else this.said.textContent = `Not opened: the browser cannot read ${file.name}. Nothing has changed.`;
    }

    /* `quiet`: it lay there, nobody asked for it. */
    async open(given, quiet = false) {
      if (!quiet) this.said.textContent = "Reading the class.";
      const kept = ofClass.get();
      const answer = await GuideEngine.call({ do: "class-open", kept, ...given });
      if (!answer.text) {
        this.said.textContent = `Not opened: ${why(answer)} Nothing of yours has changed.`;
        return;
      }
      const { name } = answer.mine;
      const words = {
        new: `You are in the class “${name}”. Nothing of yours has changed.`,
        same: quiet ? "" : "You are in this class already.",
        newer: `The class “${name}” has changed. You have the newer one now.`,
        older: quiet ? "" : "You have a newer form of this class. It stays.",
      };
      if (answer.relation === "other") this.ask(answer, kept);
      else if (answer.relation === "new" && quiet) this.offer(answer);
      else if (answer.relation === "new" || answer.relation === "newer") this.take(answer, words[answer.relation]);
      else this.said.textContent = words[answer.relation];
    }

    take(answer, words) {
      const trouble = ofClass.keep(answer.mine, answer.text);
      this.asked.replaceChildren();
      this.said.textContent = trouble ? `${words} This browser does not keep it: it lasts for this visit.` : words;
    }

    offer(answer) {
      this.said.textContent = "";
      const { name, shop } = answer.mine;
      const join = () => this.take(answer, `You are in the class “${name}”.`);
      this.asked.replaceChildren(make("p", {}, `Beside this guide lies the class “${name}” of ${shop}.`),
        bar(button("Join this class", join)));
    }

    ask(answer, kept) {
      this.said.textContent = "This is another class.";
      const stay = () => {
        this.asked.replaceChildren();
        this.said.textContent = `You stay in the class “${kept.name}”.`;
      };
      const { name, shop } = answer.mine;
      const title = make("h3", { tabindex: "-1" }, `Change to the class “${name}” of ${shop}?`);
      this.asked.replaceChildren(make("section", { class: "class-ask" }, title,
        make("p", {}, `You are in “${kept.name}” of ${kept.shop}. What you kept yourself stays either way.`),
        bar(button("Change the class", () => this.take(answer, `You are in the class “${name}” now.`)),
          button("Stay", stay))));
      title.focus();
    }

    /* -- the class itself -- */

    async show() {
      const file = ofClass.text();
      if (file === this.file_ && file) return;
      this.file_ = file;
      const mine = ofClass.get();
      if (!file || !mine) {
        this.shown.replaceChildren(make("p", {}, NONE));
        return;
      }
      this.shown.replaceChildren(make("p", {}, mine.line));
      const answer = await GuideEngine.call({ do: "class-show", text: file });
      if (file !== ofClass.text()) return;
      if (!answer.html) {
        this.shown.append(make("p", { class: "notice" }, why(answer)), this.leaving());
        return;
      }
      this.shown.innerHTML = guideHTML(answer.html);
      this.shown.append(this.leaving());
      this.buttons();
    }

    leaving() {
      const leave = () => {
        const { name } = ofClass.get();
        ofClass.leave();
        this.said.textContent = `You left the class “${name}”. All that is yours stays: tests, records, progress.`;
      };
      return bar(button("Leave the class", leave, { "data-class-leave": "" }));
    }

    buttons() {
      const mine = ofClass.get();
      const [test, days] = ["test", "days"].map((name) => this.shown.querySelector(`[data-class-${name}]`));
      if (mine && test) this.testButtons(test, mine);
      if (mine && days) this.dayButtons(days, mine);
    }

    testButtons(place, mine) {
      const taken = numbers.get(TAKEN) === `${mine.id} ${mine.changed}`;
      const [words, label] = taken ? ["You took this test over. ", "Take it over once more"]
        : ["", "Take this test over"];
      place.replaceChildren(bar(words, button(label, () => this.offerTest(place, mine), { "data-take-test": "" })));
    }

    /* The reader's own test stays what it is: whoever has one says which of the two the pages work with. */
    offerTest(place, mine) {
      const own = Guide.mine.get();
      if (!own) return this.takeTest(place, mine, true);
      const first = button("Work with the test of the class", () => this.takeTest(place, mine, true),
        { "data-take-use": "" });
      place.replaceChildren(
        make("p", {}, `You have a test of your own: ${own.line || own.name}. It stays in your list either way.`),
        bar(first,
          button("Only put it into my list", () => this.takeTest(place, mine, false), { "data-take-list": "" }),
          button("Leave it", () => this.buttons())));
      first.focus();
    }

    async takeTest(place, mine, use) {
      const now = GuideRecord.moment();
      const { test } = JSON.parse(ofClass.text());
      const name = test.name || mine.name;
      const record = { ...test, id: GuideRecord.identifier("r"), name, created: now, changed: now };
      let trouble = "";
      try {
        const { store } = await GuideRecord.openStore();
        await store.write({ id: record.id, record, revision: 0 });
        if (use) trouble = await Guide.mine.use(record.id);
      } catch (error) {
        trouble = `Not taken over: ${(error && error.message) || error}.`;
      }
      if (!trouble) numbers.set(TAKEN, `${mine.id} ${mine.changed}`);
      this.buttons();
      this.said.textContent = trouble || (use ? "The test is one of yours now, and every page works with it."
        : "The test is in the list of your tests. The pages work with your own as before.");
      const next = place.querySelector("button");
      if (next) next.focus();
    }

    dayButtons(place, { day, minutes }) {
      const { keeper } = GuidePractice;
      keeper.read();
      const { test_date: ownDay, minutes: ownMinutes } = keeper.profile;
      if ((!day || ownDay === day) && (!minutes || ownMinutes === minutes)) return place.replaceChildren();
      const other = (ownDay && day && ownDay !== day) || (ownMinutes && minutes && ownMinutes !== minutes);
      const use = () => {
        keeper.change(() => {
          if (day) keeper.profile.test_date = day;
          if (minutes) keeper.profile.minutes = minutes;
        });
        this.buttons();
        this.said.textContent = "Your practice goes by the day and the minutes of the class.";
      };
      place.replaceChildren(make("p", {}, other ? "Your practice goes by what you set yourself." : ""),
        bar(button("Use them for my practice", use, { "data-use-days": "" })));
    }
  }

  Guide.onEach("[data-class-yours]", (root) => new Yours(root));
})();
