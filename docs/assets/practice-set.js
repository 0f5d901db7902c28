/* The set for today: one question, a set of them, and how a set is chosen. */
(function () {
  "use strict";
  if (!window.GuidePractice) return;
  const { make, plainButton } = Guide;
  const {
    MAIN, line, ask, ownFigures, keeper, underWay, goOn, troubleLine, menuFor, focusOn, tools, startForm, submitButton,
    select, field, chapterChoice, chosenChapters,
  } = GuidePractice;

  const ASKED_AGAIN_AT_MOST = 2;
  const OF_A_LINK = ["questions", "objectives", "chapters", "count", "seed"];
  const REPLY = "[name=answer], [name=step]";
  const KEPT = "[name=answer], [name=step], [name=unsure]";

  /* --- one question ----------------------------------------------------------------------- */

  let places = 0;

  function answersIn(form) {
    const steps = [...form.querySelectorAll("select[name=step]")];
    if (!steps.length) return new FormData(form).getAll("answer").map(String);
    /* Not every number once: nothing that Python could mark as an order. */
    if (new Set(steps.map((each) => each.value)).size < steps.length) return [];
    /* The line that has number 1, then the one that has number 2: as the reader ordered them. */
    return steps.sort((one, other) => one.value - other.value).map((each) => each.dataset.step);
  }

  /* Shows a question in `panel` and calls `done(marked)` once it is answered. */
  async function showQuestion(panel, item, heading, done, draft = null, again = false) {
    const place = `question-${++places}`;
    const { form: name, seed, mine } = item;
    const asked = await ask("practice-question", {
      form: name, seed, mine, place, heading, profile: keeper.profile,
    }, again);
    if (asked.trouble) {
      const retry = () => showQuestion(panel, item, heading, done, draft, true);
      const told = make("p", { class: "notice", role: "alert" }, asked.trouble);
      panel.replaceChildren(told, plainButton("Try again", retry, MAIN));
      return;
    }
    panel.innerHTML = guideHTML(asked.html);
    const form = panel.querySelector("form");
    const head = form.querySelector(".question-head");
    head.tabIndex = -1;
    putDraft(form, draft);
    if (asked.offer) GuidePractice.offerSteps(form, { form: name, seed, mine, place }, asked);
    form.addEventListener("input", () => underWay.set("set", { ...underWay.get("set"), draft: draftOf(form) }));
    form.addEventListener("submit", async (event) => {
      event.preventDefault();
      if (form.dataset.busy) return;
      form.dataset.busy = "yes";
      await markQuestion(panel, form, item, place, done);
      delete form.dataset.busy;
    });
    focusOn(head);
  }

  /* What is picked or typed in a question, as [name, value, picked] for each control. */
  function draftOf(form) {
    return [...form.querySelectorAll(KEPT)].map((each) => [each.name, each.value, Boolean(each.checked)]);
  }

  function putDraft(form, draft) {
    const controls = [...form.querySelectorAll(KEPT)];
    if (!draft || draft.length !== controls.length) return;
    controls.forEach((each, place) => {
      const [, value, picked] = draft[place];
      if (each.type === "radio" || each.type === "checkbox") each.checked = picked;
      else each.value = value;
    });
  }

  async function markQuestion(panel, form, item, place, done) {
    const error = form.querySelector("[data-error]");
    const answers = answersIn(form);
    const unsure = form.elements.unsure.checked;
    const { form: name, seed, mine } = item;
    const { memory, checked } = keeper.plan;
    const worked = form.dataset.worked === "yes";
    const card = keeper.card(name);
    const question = { form: name, seed, mine, place, answers, unsure, worked, card, memory, checked };
    const marked = await ask("practice-mark", question, true);
    const wrong = marked.error
      || (marked.trouble && `${marked.trouble} Your answer is still here: you can also press the button once more.`);
    error.textContent = wrong || "";
    Guide.markInvalid(form.querySelectorAll(REPLY), wrong);
    if (wrong) return focusOn(form.querySelector(REPLY));
    form.querySelector("fieldset").disabled = true;
    form.querySelector(".question-foot").remove();
    keeper.keepCard(item.form, marked);
    const told = make("div");
    told.innerHTML = guideHTML(marked.html);
    panel.append(told);
    done(marked, told);
    focusOn(told.querySelector("[tabindex]"));
  }

  /* --- a set of questions ------------------------------------------------------------------- */

  class Run {
    constructor(panel, set, finish, kept = {}) {
      this.panel = panel;
      this.queue = set.map((item) => ({ round: 0, ...item }));
      this.finish = finish;
      const { place = 0, right = 0, missed = [], total = set.length, mine = {} } = kept;
      Object.assign(this, { place, right, missed, total, mine });
      this.next(kept.draft);
    }

    next(draft = null) {
      const item = this.queue[this.place];
      if (!item) {
        underWay.end("set");
        this.finish(this);
        return;
      }
      this.keep(draft);
      this.place += 1;
      const heading = item.round ? "Once more: " : `Question ${this.place} of ${this.total}. `;
      const asked = { ...item, mine: this.mine };
      showQuestion(this.panel, asked, heading, (marked, told) => this.marked(item, marked, told), draft);
    }

    keep(draft) {
      const { queue, place, right, missed, total, mine } = this;
      underWay.set("set", { queue, place, right, missed, total, mine, draft });
    }

    marked(item, marked, told) {
      if (marked.right && item.round === 0) this.right += 1;
      if (!marked.right && item.round === 0) this.missed.push({ form: item.form, objective: marked.objective });
      if (marked.again && item.round < ASKED_AGAIN_AT_MOST) {
        const round = item.round + 1;
        this.queue.push({ form: item.form, seed: `${item.seed}.again${round}`, round });
      }
      this.keep(null);
      const words = this.place < this.queue.length ? "Next question" : "Finish";
      told.append(troubleLine(), plainButton(words, () => this.next(), MAIN));
    }
  }

  /* --- choosing a set ----------------------------------------------------------------------- */

  async function mountReview(panel) {
    const menu = await menuFor(panel);
    if (!menu) return;
    await keeper.check();
    await offer(panel, menu);
    /* Enter starts, for whoever has not gone elsewhere meanwhile. */
    const start = panel.querySelector(".main-button");
    if (start && document.activeElement === document.body && !location.hash) start.focus({ preventScroll: true });
  }

  async function offer(panel, menu) {
    const run = (set, kept) => new Run(panel, set, (ended) => finished(panel, menu, run, ended), kept);
    const kept = underWay.get("set");
    if (kept && Array.isArray(kept.queue) && kept.queue.length) {
      const words = kept.place < kept.queue.length
        ? `You are in the middle of a set: ${kept.place} of ${kept.queue.length} answered.`
        : "You answered every question of a set.";
      goOn(panel, "set", words, () => run(kept.queue, kept), () => offer(panel, menu));
      return;
    }
    const linked = [...new URLSearchParams(location.search)].filter(([name]) => OF_A_LINK.includes(name));
    const fields = Object.fromEntries(linked);
    if (fields.questions || fields.objectives || fields.chapters) await openLinked(panel, menu, run, fields);
    else await startScreen(panel, menu, run);
  }

  async function openLinked(panel, menu, run, fields) {
    const found = await ask("practice-link", { fields });
    const refused = (found.refused || []).map((words) => make("li", {}, words));
    const told = refused.length
      ? make("div", { class: "notice", role: "alert" }, line("Part of the link could not be used:"),
        make("ul", {}, ...refused))
      : "";
    if (!found.set || !found.set.length) {
      await startScreen(panel, menu, run);
      panel.prepend(told);
      return;
    }
    const count = found.set.length;
    panel.replaceChildren(told,
      line(`This link opens a chosen set for ${keeper.profile.name}. Questions: ${count}.`), troubleLine(),
      plainButton(`Start the set of ${count}`, () => run(found.set), MAIN));
  }

  async function startScreen(panel, menu, run) {
    const sizes = ["5", "10", "15", "20"].map((size) => [size, size]);
    const said = Guide.status();
    const start = async (what, more) => {
      const size = Number(form.elements.size.value);
      const chosen = { chapters: chosenChapters(form), size, ...keeper.plan };
      const found = await ask(what, { ...chosen, ...more });
      if (found.trouble) said.textContent = found.trouble;
      else if (found.set.length) run(found.set, { mine: ownFigures() });
      else if (!found.next) said.textContent = "These chapters hold no questions.";
      else {
        said.textContent = "No question of these chapters is set for today, and you have tried them all. "
          + `Days until next time: ${found.next}. You can always start a mixed set.`;
      }
    };
    const chance = () => ({ seed: String(Math.floor(Math.random() * 1e9)) });
    const form = startForm(
      tools(submitButton("Start today's set"),
        plainButton("Start a mixed set", () => start("practice-mixed", chance()))),
      said, ...planFields(() => startScreen(panel, menu, run)),
      make("details", {}, make("summary", {}, "Choose chapters and length"),
        chapterChoice(menu.chapters, "review"), select("size", "Questions in a set", sizes, "10")),
    );
    form.addEventListener("submit", (event) => {
      event.preventDefault();
      start("practice-daily", {});
    });
    const due = await ask("practice-daily", { ...keeper.plan, size: 1, chapters: [] });
    const today = due.planned ? "" : ` Set for today: ${due.due}. Not tried yet: ${due.new}.`;
    panel.replaceChildren(
      line(`Reader: ${keeper.profile.name}.${today}`, "reader"),
      due.told ? make("p", { role: "status", "data-plan": "" }, due.told) : "",
      due.clock ? make("p", { class: "notice", role: "status", "data-clock": "" }, due.clock) : "", troubleLine(), form,
    );
  }

  /* The day of the test and the minutes a day, kept with the reader's progress. */
  function planFields(changed) {
    const { test_date, minutes } = keeper.plan;
    const day = field("test-date", "Day of your test", test_date, { type: "date", min: Guide.today() });
    const time = select("minutes", "Minutes a day", ["10", "15", "20", "30", "45"].map((each) => [each, each]),
      String(minutes));
    const keep = (name, value) => {
      keeper.change(() => { keeper.profile[name] = value; });
      changed();
    };
    const input = day.querySelector("input");
    input.addEventListener("change", () => input.validity.badInput || keep("test_date", input.value));
    const choice = time.querySelector("select");
    choice.addEventListener("change", () => keep("minutes", Number(choice.value)));
    return [day, time];
  }

  async function mountReady(panel) {
    keeper.read();
    const draw = async () => {
      const found = await ask("practice-ready", keeper.plan, true);
      if (found.html) panel.innerHTML = guideHTML(found.html);
      else panel.replaceChildren(line(found.trouble, "notice"));
    };
    panel.replaceChildren(line("What you may expect of your answers and of your hands."),
      plainButton("Work it out", draw, MAIN));
  }

  function finished(panel, menu, run, { right, total, missed }) {
    const head = make("h3", { tabindex: "-1" }, "Set finished");
    const told = make("div", { class: "finished" }, head, line(`${right} of ${total} right at the first try.`));
    if (missed.length) {
      const items = missed.map(({ form, objective }) => {
        const href = `${pageOf(objective, menu)}#objective-${objective}`;
        return make("li", {}, make("a", { href }, objective.replaceAll("-", " ")), ` (${form})`);
      });
      told.append(line("Read about these objectives once more. Their questions are asked sooner:"),
        make("ul", {}, ...items));
    }
    told.append(troubleLine(), tools(plainButton("Another set", () => startScreen(panel, menu, run), MAIN),
      make("a", { href: "progress.html" }, "See your progress")));
    panel.replaceChildren(told);
    focusOn(head);
  }

  /* An objective is named after its page; one of a shop stands on the page of progress. */
  function pageOf(objective, menu) {
    const chapters = menu.chapters.map((each) => each.id).filter((id) => objective.startsWith(`${id}-`));
    return `${chapters.sort((one, other) => other.length - one.length)[0] || "progress"}.html`;
  }

  GuidePractice.onPanel("review", mountReview);
  GuidePractice.onPanel("ready", mountReady);
})();
