/* The planning forms: looks for better plans in slices, prints the two papers, hands out the files.
   Python plans; this asks, shows how far it is, and can stop at any moment. No figure is made here.

   A slice is asked for again and again, each about a tenth of a second long, so the engine answers other forms in
   between and the page never waits. `mount` may be called again on the same page. */
(function () {
  "use strict";

  const CUTTERS = ["cut-list", "sheet-plan"];
  const PLANNERS = [...CUTTERS, "class-plan"];
  const SLICE_MS = 90;
  const MOST_STEPS = 2000;
  const dressed = new WeakSet();

  function make(tag, attributes, ...children) {
    const made = document.createElement(tag);
    for (const [name, value] of Object.entries(attributes || {})) {
      if (name === "onclick") made.addEventListener("click", value);
      else made.setAttribute(name, value);
    }
    made.append(...children);
    return made;
  }

  class Planner {
    constructor(section) {
      this.section = section;
      this.turn = 0;
      this.look = make("button", { type: "button", "data-plan-look": "", onclick: () => this.search() }, "Look for a better plan");
      this.stop = make("button", { type: "button", "data-plan-stop": "", onclick: () => this.end("Stopped. The best plan found so far stays.") }, "Stop");
      this.bar = make("progress", { max: "1", value: "0", "aria-label": "How far the search is" });
      this.said = make("p", { class: "plan-said", role: "status" });
      this.stop.hidden = this.bar.hidden = true;
      const papers = [["cutting", "Print the cutting plan"], ["shopping", "Print the shopping list"]]
        .map(([page, words]) => make("button", { type: "button", "data-plan-print": page, onclick: () => this.print(page) }, words));
      const files = [["csv", "Save the plan (CSV)"], ["json", "Save the plan (JSON)"]]
        .map(([kind, words]) => make("button", { type: "button", "data-plan-save": kind, onclick: () => this.save(kind) }, words));
      /* A class has nothing to search for and nothing to cut: it has a list to shop from. */
      const cuts = CUTTERS.includes(section.dataset.calculator);
      const tools = make("div", { class: "plan-tools" }, ...(cuts ? [this.look, this.stop, this.bar] : []), ...papers.slice(cuts ? 0 : 1), ...files, this.said);
      section.querySelector("[data-answer]").before(tools);
      /* Other numbers: the search under way is for a plan that nobody wants any more. */
      const form = section.querySelector("form");
      for (const kind of ["input", "change", "click"]) {
        form.addEventListener(kind, (event) => {
          if (kind === "click" && !event.target.closest("[data-fill], [data-remove-row], [data-reset]")) return;
          this.end("");
        });
      }
    }

    request(what) {
      return GuideEngine.call({
        calculator: this.section.dataset.calculator, place: this.section.id, inputs: GuideForms.texts(this.section), system: GuideForms.system(), ...what,
      });
    }

    /* What went wrong, in words; nothing where all is well. */
    trouble(answer) {
      if (!answer) return "The calculators did not answer.";
      if (answer.errors && Object.keys(answer.errors).length) return Object.values(answer.errors).join(" ");
      return answer.trouble || (answer.ok === false ? answer.reason : "");
    }

    async search() {
      const mine = ++this.turn;
      this.running(true);
      this.sentence = "";
      this.said.textContent = "Starting.";
      const started = await this.request({ do: "plan-start" });
      const wrong = this.trouble(started);
      if (mine !== this.turn) return;
      if (wrong) {
        this.end(wrong);
        return;
      }
      let steps = 1;
      for (;;) {
        const asked = performance.now();
        const told = await this.request({ do: "plan-step", search: started.search, steps });
        if (mine !== this.turn) return;
        const broken = this.trouble(told);
        if (broken || told.gone) {
          this.end(broken || "The search was given up. Start it again.");
          return;
        }
        this.show(told);
        if (told.done) {
          this.end(this.sentence || "There is no better plan.");
          return;
        }
        const took = performance.now() - asked;
        steps = Math.max(1, Math.min(MOST_STEPS, Math.round(steps * Math.min(4, Math.max(0.25, SLICE_MS / Math.max(1, took))))));
      }
    }

    show(told) {
      if (told.share !== undefined) this.bar.value = told.share;
      if (told.words && this.said.textContent !== told.words) this.said.textContent = told.words;
      if (told.pieces === undefined) return;
      this.sentence = told.spoken[GuideForms.system()];
      GuideForms.draw(this.section, told);
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
      const told = await this.request({ do: "plan-paper", page });
      const wrong = this.trouble(told);
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
      const file = await this.request({ do: "plan-file", kind });
      const wrong = this.trouble(file);
      if (wrong) {
        this.said.textContent = wrong;
        return;
      }
      const address = URL.createObjectURL(new Blob([file.text], { type: file.type }));
      make("a", { href: address, download: file.name }).click();
      setTimeout(() => URL.revokeObjectURL(address), 10000);
      this.said.textContent = `Saved as ${file.name}.`;
    }
  }

  function mount(root) {
    if (!window.GuideEngine || !window.GuideForms) return;
    for (const section of root.querySelectorAll(PLANNERS.map((name) => `[data-calculator="${name}"]`).join(", "))) {
      if (dressed.has(section)) continue;
      dressed.add(section);
      new Planner(section);
    }
  }

  if (window.document$) window.document$.subscribe(() => mount(document));
  if (document.readyState === "loading") document.addEventListener("DOMContentLoaded", () => mount(document));
  else mount(document);
})();
