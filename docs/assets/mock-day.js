/* The mock test day: one decision after another, nothing told before the end. Python draws the day and marks it; here
   the answers are kept in this tab, so that a reload or a crash loses none. */
(function () {
  "use strict";
  if (!window.GuidePractice) return;
  const { make, plainButton } = Guide;
  const {
    MAIN, line, ask, keeper, underWay, goOn, troubleLine, waiting, focusOn, tools, startForm, submitButton, select,
    field, sheetsReady,
  } = GuidePractice;

  const KIND = "mock-day";
  const PLACE = "mock";
  const SHEETS = [["day", "The day alone"], ["examiner", "The day and the examiner's sheet"]];

  function seedOfAddress() {
    return new URLSearchParams(location.hash.slice(1)).get("seed") || "";
  }

  /* The reader's own test as its record, or null. */
  async function ownTest(said) {
    const record = await Guide.mine.record();
    if (!record) said.textContent = "Your test is not in this browser any more.";
    return record;
  }

  async function mount(panel) {
    keeper.read();
    await keeper.check();
    const kept = underWay.get(KIND);
    const linked = seedOfAddress();
    if (kept && typeof kept.seed === "string" && kept.answers && (!linked || linked === kept.seed || !kept.told)) {
      const count = Object.keys(kept.answers).length;
      const words = kept.told ? `Your day of seed ${kept.seed} is over.`
        : `You are in the middle of the day of seed ${kept.seed}: ${count} decided.`;
      goOn(panel, KIND, words, () => open(panel, kept), () => mount(panel));
      return;
    }
    startScreen(panel, linked);
    if (linked) open(panel, fresh(linked, null), panel.querySelector("[role=status]"));
  }

  function fresh(seed, test) {
    return { seed, test, answers: {}, draft: "", told: false };
  }

  function startScreen(panel, linked) {
    const mine = Guide.mine && Guide.mine.get();
    const said = Guide.status();
    const seed = linked || String(Math.floor(Math.random() * 1e6));
    const own = make("input", { type: "checkbox", name: "own", id: "mock-own" });
    const sheets = make("div", { class: "sheets" });
    const form = startForm(
      field("seed", "Seed: a number or a word", seed, { maxlength: "40" }),
      mine ? make("label", { for: "mock-own", class: "unsure" }, own,
        ` From my own test: ${mine.line || mine.name}`) : "",
      tools(submitButton("Start the day")),
      make("details", { class: "mock-print" }, make("summary", {}, "On paper, for an instructor"),
        select("sheets", "Print", SHEETS, "examiner"),
        select("units", "Units", Guide.UNITS, document.documentElement.dataset.units),
        tools(plainButton("Make the sheets", () => paper()))),
      said,
    );
    const chosen = async () => {
      const test = own.checked ? await ownTest(said) : null;
      return own.checked && !test ? null : fresh(form.elements.seed.value.trim(), test);
    };
    async function paper() {
      const day = await chosen();
      if (!day) return;
      said.textContent = "Making the sheets.";
      const { sheets: which, units } = form.elements;
      const wanted = { seed: day.seed, test: day.test, examiner: which.value === "examiner", units: units.value };
      sheetsReady(sheets, said, await ask("mock-day-print", wanted, true));
    }
    form.addEventListener("submit", async (event) => {
      event.preventDefault();
      said.textContent = "Getting the day ready.";
      const day = await chosen();
      if (day) open(panel, day, said);
    });
    panel.replaceChildren(form, sheets);
  }

  async function open(panel, kept, said = panel.querySelector("[data-under-way]")) {
    const { seed, test } = kept;
    const day = await ask("mock-day", { seed, test, place: PLACE }, true);
    if (!day.decisions) {
      if (said) said.textContent = day.refused || day.trouble;
      return;
    }
    if (!test) Guide.setAddress(`${location.pathname}${location.search}#seed=${encodeURIComponent(seed)}`);
    step(panel, day, kept);
  }

  function step(panel, day, kept) {
    underWay.set(KIND, kept);
    const item = day.decisions.find((each) => !(each.id in kept.answers));
    if (!item) {
      finish(panel, kept);
      return;
    }
    panel.innerHTML = guideHTML(item.html);
    const head = panel.querySelector(".question-head");
    if (item === day.decisions[0] && day.notes.length) {
      head.after(make("details", { class: "mock-left" }, make("summary", {}, "What of this day is not from your test"),
        make("ul", {}, ...day.notes.map((words) => make("li", {}, words)))));
    }
    const form = panel.querySelector("form");
    put(form, kept.draft);
    const now = () => String(new FormData(form).get("answer") || "").trim();
    form.addEventListener("input", () => underWay.set(KIND, Object.assign(kept, { draft: now() })));
    form.addEventListener("submit", async (event) => {
      event.preventDefault();
      if (form.dataset.busy) return;
      form.dataset.busy = "yes";
      const { seed, test } = kept;
      const read = await ask("mock-day-read", { seed, test, decision: item.id, answer: now() }, true);
      delete form.dataset.busy;
      const wrong = read.error || read.refused || read.trouble;
      form.querySelector("[data-error]").textContent = wrong || "";
      const controls = form.querySelectorAll("[name=answer]");
      Guide.markInvalid(controls, wrong);
      if (wrong) return focusOn(controls[0]);
      kept.answers[item.id] = read.text;
      kept.draft = "";
      step(panel, day, kept);
    });
    focusOn(head);
    head.scrollIntoView({ block: "start" });
  }

  function put(form, draft) {
    const [first, ...more] = form.querySelectorAll("[name=answer]");
    if (!draft || !first) return;
    if (first.type === "radio") for (const each of [first, ...more]) each.checked = each.value === draft;
    else first.value = draft;
  }

  async function finish(panel, kept) {
    panel.replaceChildren(waiting("Marking the day."));
    const { seed, test, answers } = kept;
    const { memory } = keeper.plan;
    const marked = await ask("mock-day-mark", { seed, test, answers, memory, place: PLACE }, true);
    if (!marked.html) {
      panel.replaceChildren(line(marked.refused || marked.trouble, "notice"),
        plainButton("Try again", () => finish(panel, kept), MAIN));
      return;
    }
    if (!kept.told && marked.memory) {
      keeper.change(() => { keeper.profile.memory = { ...keeper.profile.memory, ...marked.memory }; });
    }
    underWay.set(KIND, Object.assign(kept, { told: true }));
    panel.innerHTML = guideHTML(marked.html);
    panel.append(troubleLine(), tools(plainButton("Another day", () => {
      underWay.end(KIND);
      Guide.setAddress(location.pathname + location.search);
      mount(panel);
    }, MAIN)));
    focusOn(panel.querySelector("h3"));
  }

  GuidePractice.onPanel(KIND, (panel) => {
    mount(panel);
    Guide.listenFor(panel, window, "hashchange", () => seedOfAddress() && mount(panel));
  });
})();
