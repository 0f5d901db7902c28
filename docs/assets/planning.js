/* The planning forms: looks for better plans in slices, prints the two papers, hands out the files.
   Python plans; this asks, shows how far it is, and can stop at any moment. No figure is made here.

   A slice is asked for again and again, each about a tenth of a second long, so the engine answers other forms in
   between and the page never waits. */
(function () {
  "use strict";
  if (!window.GuideEngine) return;
  const { make, button, say } = Guide;

  /* What each form is searched for, and its papers and files. */
  const CUTS = {
    look: "plan",
    papers: [["cutting", "Print the cutting plan"], ["shopping", "Print shopping list"]],
    files: [["csv", "Save CSV"], ["json", "Save JSON"]],
  };
  const PLANNERS = {
    "cut-list": CUTS,
    "sheet-plan": CUTS,
    "class-plan": {
      look: "timetable",
      papers: [["timetable", "Print timetable"], ["order", "Print orders"]],
      files: [["timetable", "Timetable CSV"], ["csv", "Orders CSV"], ["json", "All JSON"]],
    },
  };
  const SLICE_MS = 90;
  const MOST_STEPS = 2000;
  class Planner {
    constructor(section) {
      this.section = section;
      this.turn = 0;
      const { look, papers, files } = PLANNERS[section.dataset.calculator];
      this.what = look;
      const stopped = `Stopped. The best ${look} found so far stays.`;
      this.look = button(`Look for a better ${look}`, () => this.search(), { "data-plan-look": "" });
      this.stop = button("Stop", () => this.end(stopped), { "data-plan-stop": "", hidden: true });
      this.bar = make("progress", { max: "1", value: "0", "aria-label": "How far the search is", hidden: true });
      this.said = Guide.status({ class: "plan-said" });
      const tools = [
        ...papers.map(([page, words]) => button(words, () => this.print(page), { "data-plan-print": page })),
        ...files.map(([kind, words]) => button(words, () => this.save(kind), { "data-plan-save": kind })),
      ];
      section.querySelector("[data-answer]")
        .before(make("div", { class: "plan-tools" }, this.look, this.stop, this.bar, ...tools, this.said));
      /* Other numbers: the search under way is for a plan that nobody wants any more. */
      section.addEventListener("guide-numbers", (event) => { if (event.detail.other) this.end(""); });
    }

    /* Python's answer, and in words what went wrong: nothing where all is well. */
    async request(what) {
      const told = await GuideEngine.call({ ...Guide.form(this.section).question(), ...what });
      if (!told) return { told, wrong: "The calculators did not answer." };
      const errors = Object.values(told.errors || {}).join(" ");
      return { told, wrong: errors || told.trouble || (told.ok === false ? told.reason : "") };
    }

    async search() {
      const mine = ++this.turn;
      this.running(true);
      this.sentence = "";
      this.said.textContent = "Starting.";
      const started = await this.request({ do: "plan-start" });
      if (mine !== this.turn) return;
      if (started.wrong) return this.end(started.wrong);
      const { search } = started.told;
      let steps = 1;
      for (;;) {
        const asked = performance.now();
        const { told, wrong } = await this.request({ do: "plan-step", search, steps });
        if (mine !== this.turn) return;
        if (wrong || told.gone) return this.end(wrong || "The search was given up. Start it again.");
        this.show(told);
        if (told.done) return this.end(this.sentence || `No better ${this.what} was found.`);
        const faster = SLICE_MS / Math.max(1, performance.now() - asked);
        steps = Math.round(steps * Math.min(4, Math.max(0.25, faster)));
        steps = Math.max(1, Math.min(MOST_STEPS, steps));
      }
    }

    show(told) {
      if (told.share !== undefined) this.bar.value = told.share;
      if (told.words) say(this.said, told.words);
      if (told.pieces === undefined) return;
      this.sentence = told.spoken[Guide.system()];
      Guide.form(this.section).drawAnswer(told);
    }

    running(on) {
      const focused = document.activeElement === (on ? this.look : this.stop);
      this.look.hidden = on;
      this.stop.hidden = this.bar.hidden = !on;
      if (on) this.bar.value = 0;
      if (focused) (on ? this.stop : this.look).focus();
    }

    end(words) {
      if (words === "" && this.look.hidden === false) return;
      this.turn += 1;
      this.running(false);
      this.said.textContent = words;
    }

    async print(page) {
      const { told, wrong } = await this.request({ do: "plan-paper", page });
      if (wrong) {
        this.said.textContent = wrong;
        return;
      }
      for (const old of document.querySelectorAll(".plan-paper")) old.remove();
      const paper = make("div", { class: "plan-paper md-typeset", "data-plan-paper": page });
      paper.innerHTML = guideHTML(told.html);
      document.body.append(paper);
      document.body.classList.add("printing-plan");
      const clean = () => {
        paper.remove();
        document.body.classList.remove("printing-plan");
      };
      window.addEventListener("afterprint", clean, { once: true });
      window.print();
    }

    async save(kind) {
      const { told, wrong } = await this.request({ do: "plan-file", kind });
      this.said.textContent = wrong || `Saved as ${told.name}.`;
      if (!wrong) Guide.download(told.name, told.text, told.type);
    }
  }

  const planners = Object.keys(PLANNERS).map((name) => `[data-calculator="${name}"]`);
  Guide.onEach(planners.join(", "), (section) => new Planner(section));
})();
