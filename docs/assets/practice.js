/* The glue of practice: try first, review, mock oral, progress, worksheets. Python draws, marks and schedules; this
   script carries answers to it, keeps what comes back in this browser, and moves the focus.

   Every part mounts by `mount(root)`, which may be called again on the same page. */
(function () {
  "use strict";

  const KEY = "guide.practice";
  const SET_KEY = "guide.practice.under-way.";
  const FORMAT = "plate-test-guide-progress";
  const VERSION = 1;
  const ASKED_AGAIN_AT_MOST = 2;
  const READ_AFTER_MS = 1500;

  function make(tag, attributes, ...children) {
    const made = document.createElement(tag);
    for (const [name, value] of Object.entries(attributes || {})) {
      if (name === "onclick") made.addEventListener("click", value);
      else if (value === true) made.setAttribute(name, "");
      else if (value !== false && value !== null) made.setAttribute(name, value);
    }
    made.append(...children);
    return made;
  }

  const button = (words, onclick, look = "plain-button") => make("button", { type: "button", class: look, onclick }, words);
  const line = (words, look) => make("p", look ? { class: look } : {}, words);

  function today() {
    const now = new Date();
    const two = (number) => String(number).padStart(2, "0");
    return `${now.getFullYear()}-${two(now.getMonth() + 1)}-${two(now.getDate())}`;
  }

  function system() {
    return window.GuideForms ? window.GuideForms.system() : "us";
  }

  /* `again`: the reader pressed something, so calculators that failed before are tried once more. */
  async function ask(what, fields, again = false) {
    if (again && window.GuideEngine.state === "failed") await window.GuideEngine.retry();
    const answer = await window.GuideEngine.call({ do: what, system: system(), today: today(), ...fields });
    if (answer.ok === false) return { trouble: `The questions could not start: ${String(answer.reason || "no reason was given").replace(/\.$/, "")}. Reload the page to try again: a set under way is kept.` };
    return answer;
  }

  /* --- what this browser keeps ------------------------------------------------------- */

  const fresh = () => ({ format: FORMAT, version: VERSION, active: 0, profiles: [{ name: "Reader 1", cards: {}, read: {} }] });

  const keeper = {
    state: null,
    /* Why nothing is kept, in words, or "". */
    trouble: "",
    /* The newest state stands in memory alone. */
    unwritten: false,
    /* What was found and could not be read: it stays where it is until the reader decides. */
    damaged: null,

    read() {
      if ((this.damaged !== null || this.unwritten) && this.state) return this.state;
      let text = null;
      try {
        text = localStorage.getItem(KEY);
      } catch {
        this.trouble = "This browser keeps nothing for this page, so your progress lasts until you close it. Export it to keep it.";
        return (this.state = this.state || fresh());
      }
      if (text === null) return (this.state = fresh());
      try {
        const found = JSON.parse(text);
        if (found.version > VERSION) return this.setAside(text, "it was written by a newer version of the guide");
        if (found.format !== FORMAT || !found.profiles[found.active].name || !found.profiles.every((each) => each.cards && each.read)) throw new Error();
        return (this.state = found);
      } catch {
        return this.setAside(text, "it is damaged");
      }
    },

    setAside(text, reason) {
      this.damaged = text;
      this.trouble = `The progress kept in this browser could not be read: ${reason}. It is left as it is, and this visit is not kept. On the progress page you can save the damaged text and start over.`;
      return (this.state = fresh());
    },

    /* Python looks closer than the glue does. */
    async check() {
      this.read();
      if (this.damaged !== null || this.checked) return;
      const answer = await ask("progress-read", { text: JSON.stringify(this.state) });
      this.checked = true;
      if (answer.refused) this.setAside(JSON.stringify(this.state), answer.refused);
    },

    write() {
      if (this.damaged !== null) return;
      try {
        localStorage.setItem(KEY, JSON.stringify(this.state));
        this.trouble = "";
        this.unwritten = false;
      } catch (error) {
        this.unwritten = true;
        this.trouble = error && error.name === "QuotaExceededError"
          ? "This browser has no room left, so the newest progress is not kept. Export it before you close the page."
          : "This browser keeps nothing for this page, so your progress lasts until you close it. Export it to keep it.";
      }
    },

    /* Another page may have written meanwhile: change what is there now, not what was there. */
    change(how) {
      if (!this.trouble) this.read();
      how(this.state);
      this.write();
      document.dispatchEvent(new CustomEvent("guide-progress"));
    },

    get profile() {
      return this.state.profiles[this.state.active];
    },
  };

  /* The set under way, in this tab: a reload, a new version of the guide or a crash of the page does not end it. */
  const underWay = {
    get(kind) {
      try {
        const found = JSON.parse(sessionStorage.getItem(SET_KEY + kind));
        return found && found.search === location.search && found.reader === keeper.profile.name ? found : null;
      } catch {
        return null;
      }
    },
    set(kind, data) {
      try {
        sessionStorage.setItem(SET_KEY + kind, JSON.stringify({ search: location.search, reader: keeper.profile.name, ...data }));
      } catch { /* then it lasts until the page closes */ }
    },
    end(kind) {
      try { sessionStorage.removeItem(SET_KEY + kind); } catch { /* it was never there */ }
    },
  };

  function goOn(panel, kind, words, resume, leave) {
    const start = button("Go on with it", resume, "main-button");
    const other = button("Leave it", () => { underWay.end(kind); leave(); });
    panel.replaceChildren(make("p", { role: "status", "data-under-way": "" }, words), troubleLine(), make("p", { class: "tools" }, start, other));
  }

  function troubleLine() {
    if (!keeper.trouble) return "";
    const out = keeper.unwritten ? button("Export your progress", () => download(JSON.stringify(keeper.state, null, 1), "progress.json")) : "";
    return make("p", { class: "notice", role: "alert" }, keeper.trouble, " ", out);
  }

  /* --- waiting for the engine ---------------------------------------------------------- */

  function waiting(words) {
    const shown = make("p", { class: "engine", role: "status" }, words);
    const follow = () => {
      if (!shown.isConnected) return document.removeEventListener("guide-engine", follow);
      const { loaded = 0, total = 0 } = window.GuideEngine.progress || {};
      if (window.GuideEngine.state === "loading" && total) shown.textContent = `${words} ${Math.min(99, Math.floor((100 * loaded) / total))} %`;
      return undefined;
    };
    document.addEventListener("guide-engine", follow);
    return shown;
  }

  function focusOn(element) {
    if (!element) return;
    element.focus({ preventScroll: true });
    element.scrollIntoView({ block: "nearest" });
  }

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
    places += 1;
    const place = `question-${places}`;
    const asked = await ask("practice-question", { form: item.form, seed: item.seed, place, heading }, again);
    if (asked.trouble) {
      return panel.replaceChildren(make("p", { class: "notice", role: "alert" }, asked.trouble), button("Try again", () => showQuestion(panel, item, heading, done, draft, true), "main-button"));
    }
    panel.innerHTML = guideHTML(asked.html);
    const form = panel.querySelector("form");
    const head = form.querySelector(".question-head");
    head.tabIndex = -1;
    putDraft(form, draft);
    form.addEventListener("input", () => underWay.set("set", { ...underWay.get("set"), draft: draftOf(form) }));
    form.addEventListener("submit", async (event) => {
      event.preventDefault();
      if (form.dataset.busy) return;
      form.dataset.busy = "yes";
      await markQuestion(panel, form, item, place, done);
      delete form.dataset.busy;
    });
    focusOn(head);
    return undefined;
  }

  /* What is picked or typed in a question, as [name, value, picked] for each control. */
  function draftOf(form) {
    return [...form.querySelectorAll("[name=answer], [name=step], [name=unsure]")].map((each) => [each.name, each.value, Boolean(each.checked)]);
  }

  function putDraft(form, draft) {
    const controls = [...form.querySelectorAll("[name=answer], [name=step], [name=unsure]")];
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
    const marked = await ask("practice-mark", {
      form: item.form, seed: item.seed, place, answers, unsure: form.elements.unsure.checked, card: keeper.profile.cards[item.form] || null,
    }, true);
    if (marked.error || marked.trouble) {
      error.textContent = marked.error || `${marked.trouble} Your answer stands here: you can also press the button once more.`;
      for (const control of form.querySelectorAll("[name=answer], [name=step]")) control.setAttribute("aria-invalid", "true");
      focusOn(form.querySelector("[name=answer], [name=step]"));
      return;
    }
    error.textContent = "";
    for (const control of form.querySelectorAll("[aria-invalid]")) control.removeAttribute("aria-invalid");
    form.querySelector("fieldset").disabled = true;
    form.querySelector(".question-foot").remove();
    keeper.change((state) => { state.profiles[state.active].cards[item.form] = marked.card; });
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
      const { place = 0, right = 0, missed = [], total = set.length } = kept;
      Object.assign(this, { place, right, missed, total });
      this.next(kept.draft);
    }

    next(draft = null) {
      const item = this.queue[this.place];
      if (!item) {
        underWay.end("set");
        return this.finish(this);
      }
      this.keep(draft);
      this.place += 1;
      const heading = item.round ? "Once more: " : `Question ${this.place} of ${this.total}. `;
      return showQuestion(this.panel, item, heading, (marked, told) => this.marked(item, marked, told), draft);
    }

    keep(draft) {
      const { queue, place, right, missed, total } = this;
      underWay.set("set", { queue, place, right, missed, total, draft });
    }

    marked(item, marked, told) {
      if (marked.right && item.round === 0) this.right += 1;
      if (!marked.right && item.round === 0) this.missed.push({ form: item.form, objective: marked.objective });
      if (marked.again && item.round < ASKED_AGAIN_AT_MOST) {
        this.queue.push({ form: item.form, seed: `${item.seed}.again${item.round + 1}`, round: item.round + 1 });
      }
      this.keep(null);
      const trouble = troubleLine();
      if (trouble) told.append(trouble);
      told.append(button(this.place < this.queue.length ? "Next question" : "Finish", () => this.next(), "main-button"));
    }
  }

  /* --- review ---------------------------------------------------------------------------------- */

  function chosenChapters(form) {
    const boxes = [...form.querySelectorAll("input[name=chapter]")];
    const chosen = boxes.filter((box) => box.checked).map((box) => box.value);
    return chosen.length === boxes.length ? [] : chosen;
  }

  function chapterChoice(chapters, ident) {
    const group = make("fieldset", { class: "chapter-choice" }, make("legend", {}, "Chapters"));
    const boxes = make("div", { class: "boxes" });
    for (const { id, title, forms } of chapters) {
      boxes.append(make("label", {}, make("input", { type: "checkbox", name: "chapter", value: id, checked: true, id: `${ident}-${id}` }), ` ${title} `, make("small", {}, `(${forms})`)));
    }
    const all = (value) => () => { for (const box of boxes.querySelectorAll("input")) box.checked = value; };
    group.append(boxes, make("p", { class: "tools" }, button("All", all(true)), button("None", all(false))));
    return group;
  }

  function select(name, label, choices, chosen) {
    const ident = `practice-${name}-${++places}`;
    const box = make("select", { id: ident, name });
    for (const [value, words] of choices) box.append(make("option", { value, selected: value === chosen }, words));
    return make("p", { class: "reply" }, make("label", { for: ident }, label), box);
  }

  function field(name, label, value, more = {}) {
    const ident = `practice-${name}-${++places}`;
    return make("p", { class: "reply" }, make("label", { for: ident }, label), make("input", { id: ident, name, value, type: "text", autocomplete: "off", ...more }));
  }

  async function mountReview(panel) {
    panel.replaceChildren(waiting("Getting the questions ready."));
    const menu = await ask("practice-menu", {});
    if (menu.trouble) return panel.replaceChildren(line(menu.trouble, "notice"));
    await keeper.check();
    const kept = underWay.get("set");
    if (kept && Array.isArray(kept.queue) && kept.queue.length) {
      const words = kept.place < kept.queue.length ? `You are in the middle of a set: ${kept.place} of ${kept.queue.length} answered.` : "You answered every question of a set.";
      return goOn(panel, "set", words, () => new Run(panel, kept.queue, (run) => finished(panel, menu, run), kept), () => mountReview(panel));
    }
    const fields = Object.fromEntries([...new URLSearchParams(location.search)].filter(([name]) => ["questions", "objectives", "chapters", "count", "seed"].includes(name)));
    if (fields.questions || fields.objectives || fields.chapters) return openLinked(panel, menu, fields);
    return startScreen(panel, menu);
  }

  async function openLinked(panel, menu, fields) {
    const found = await ask("practice-link", { fields });
    const refused = (found.refused || []).map((words) => make("li", {}, words));
    const told = refused.length ? make("div", { class: "notice", role: "alert" }, line("Part of the link could not be used:"), make("ul", {}, ...refused)) : "";
    if (!found.set || !found.set.length) {
      await startScreen(panel, menu);
      panel.prepend(told);
      return;
    }
    const start = button(`Start the set of ${found.set.length}`, () => new Run(panel, found.set, (run) => finished(panel, menu, run)), "main-button");
    panel.replaceChildren(told, line(`This link opens a chosen set of ${found.set.length} questions for ${keeper.profile.name}.`), troubleLine(), start);
  }

  async function startScreen(panel, menu) {
    const form = make("form", { class: "practice-start", novalidate: true });
    const size = select("size", "Questions in a set", [["5", "5"], ["10", "10"], ["15", "15"], ["20", "20"]], "10");
    const count = () => Number(form.elements.size.value);
    const said = make("p", { class: "said", role: "status" });
    const run = async (what, more) => {
      const found = await ask(what, { chapters: chosenChapters(form), size: count(), cards: keeper.profile.cards, ...more });
      if (found.trouble) said.textContent = found.trouble;
      else if (!found.set.length) said.textContent = found.next ? `Nothing is due and nothing is new in these chapters. Something comes back in ${found.next} days. Free practice is always open.` : "These chapters hold no questions.";
      else new Run(panel, found.set, (ended) => finished(panel, menu, ended));
    };
    const daily = make("button", { type: "submit", class: "main-button" }, "Start today's set");
    const free = button("Free practice", () => run("practice-mixed", { seed: String(Math.floor(Math.random() * 1e9)) }));
    form.addEventListener("submit", (event) => {
      event.preventDefault();
      run("practice-daily", {});
    });
    form.append(chapterChoice(menu.chapters, "review"), size, make("p", { class: "tools" }, daily, free), said);
    const due = await ask("practice-daily", { cards: keeper.profile.cards, size: 1, chapters: [] });
    panel.replaceChildren(
      line(`Reader: ${keeper.profile.name}. ${due.due || "No"} ${due.due === 1 ? "question is" : "questions are"} due today; ${due.new} are new to you.`, "reader"),
      due.clock ? make("p", { class: "notice", role: "status", "data-clock": "" }, due.clock) : "", troubleLine(), form,
    );
  }

  async function finished(panel, menu, run) {
    const told = make("div", { class: "finished" }, make("h3", { tabindex: "-1" }, "Set finished"), line(`${run.right} of ${run.total} right at the first try.`));
    if (run.missed.length) {
      const items = run.missed.map(({ form, objective }) => make("li", {}, make("a", { href: `${pageOf(objective, menu)}#objective-${objective}` }, objective.replaceAll("-", " ")), ` (${form})`));
      told.append(line("Read these again. The questions come back to you sooner:"), make("ul", {}, ...items));
    }
    told.append(troubleLine(), make("p", { class: "tools" }, button("Another set", () => startScreen(panel, menu), "main-button"), make("a", { href: "progress.html" }, "See your progress")));
    panel.replaceChildren(told);
    focusOn(told.querySelector("h3"));
  }

  /* An objective is named after its page. */
  function pageOf(objective, menu) {
    const chapter = menu.chapters.map((each) => each.id).filter((id) => objective.startsWith(`${id}-`)).sort((one, other) => other.length - one.length)[0];
    return `${chapter || "index"}.html`;
  }

  /* --- mock oral ------------------------------------------------------------------------------ */

  async function startOral(panel, seed, place, seconds, counts, said) {
    const oral = await ask("practice-oral", { seed }, true);
    if (oral.trouble) {
      said.textContent = oral.trouble;
      return;
    }
    await keeper.check();
    oralStep(panel, { ...oral, seed, seconds, counts }, place);
  }

  function mountOral(panel) {
    keeper.read();
    const kept = underWay.get("oral");
    if (kept && kept.counts && Number.isInteger(kept.place)) {
      const resume = () => startOral(panel, kept.seed, kept.place, kept.seconds, kept.counts, panel.querySelector("[data-under-way]"));
      return goOn(panel, "oral", `You are in the middle of a mock oral: ${kept.place} answered.`, resume, () => mountOral(panel));
    }
    const form = make("form", { class: "practice-start", novalidate: true });
    form.append(
      select("seconds", "Time for each answer", [["0", "No timer"], ["30", "30 seconds"], ["60", "60 seconds"], ["90", "90 seconds"]], "60"),
      make("p", { class: "tools" }, make("button", { type: "submit", class: "main-button" }, "Start the mock oral")), make("p", { class: "said", role: "status" }),
    );
    form.addEventListener("submit", (event) => {
      event.preventDefault();
      const said = form.querySelector(".said");
      said.textContent = "Getting the questions ready.";
      startOral(panel, String(Math.floor(Math.random() * 1e9)), 0, Number(form.elements.seconds.value), { had: 0, partly: 0, missed: 0 }, said);
    });
    panel.replaceChildren(form);
    return undefined;
  }

  function oralStep(panel, oral, place) {
    const { asked, seed, seconds, counts } = oral;
    const item = asked[place];
    if (!item) {
      underWay.end("oral");
      return oralEnd(panel, asked.length, counts);
    }
    underWay.set("oral", { seed, place, seconds, counts });
    const head = make("h3", { tabindex: "-1" }, `${place + 1} of ${asked.length}: ${item.chapter}`);
    const text = make("div");
    text.innerHTML = guideHTML(item.html);
    const clock = make("p", { class: "clock", role: "timer", "aria-live": "off" });
    const over = make("p", { class: "said", role: "status" });
    const stop = seconds ? countDown(clock, over, seconds) : () => {};
    const show = button("Show the answer", () => {
      stop();
      show.remove();
      const told = make("div", { class: "marked", tabindex: "-1" });
      told.innerHTML = guideHTML(item.answer);
      const grade = (name, words) => button(words, async () => {
        counts[name] += 1;
        const graded = await ask("practice-grade", { form: item.form, grade: name, card: keeper.profile.cards[item.form] || null }, true);
        if (graded.card) keeper.change((state) => { state.profiles[state.active].cards[item.form] = graded.card; });
        oralStep(panel, oral, place + 1);
      });
      const question = line("How did yours compare?");
      told.append(troubleLine(), question, make("p", { class: "tools" }, grade("had", "I had it"), grade("partly", "Partly"), grade("missed", "Missed")));
      panel.append(told);
      focusOn(told);
    }, "main-button");
    panel.replaceChildren(head, text, clock, over, line("Say your answer aloud, in full sentences. Then look.", "help"), show);
    focusOn(head);
    return undefined;
  }

  function countDown(clock, over, seconds) {
    const end = Date.now() + seconds * 1000;
    const tick = () => {
      const left = Math.max(0, Math.ceil((end - Date.now()) / 1000));
      clock.textContent = `${Math.floor(left / 60)}:${String(left % 60).padStart(2, "0")}`;
      if (!clock.isConnected) clearInterval(timer);
      if (left > 0) return;
      clearInterval(timer);
      over.textContent = "Time is up. Finish your sentence, then look.";
    };
    const timer = setInterval(tick, 500);
    clock.textContent = `${Math.floor(seconds / 60)}:${String(seconds % 60).padStart(2, "0")}`;
    return () => clearInterval(timer);
  }

  function oralEnd(panel, total, counts) {
    const head = make("h3", { tabindex: "-1" }, "The day is through");
    panel.replaceChildren(
      head, line(`Of ${total} answers you had ${counts.had}, had ${counts.partly} in part and missed ${counts.missed}. What you missed comes back in your next sets.`),
      button("Again, with other questions", () => mountOral(panel), "main-button"),
    );
    focusOn(head);
  }

  /* --- try first, at every calculator ------------------------------------------------------------ */

  function mountTry(section) {
    const headline = section.querySelector("[data-headline]");
    const box = make("div", { class: "try" });
    const toggle = button("Try it first: hide the answer", () => (section.classList.contains("trying") ? close() : open()));
    toggle.setAttribute("aria-pressed", "false");
    const inside = make("div", { class: "try-inside" });
    box.append(make("p", { class: "tools" }, toggle), inside);
    headline.before(box);

    function close() {
      section.classList.remove("trying");
      toggle.setAttribute("aria-pressed", "false");
      toggle.textContent = "Try it first: hide the answer";
      inside.replaceChildren();
      focusOn(toggle);
    }

    async function open() {
      section.classList.add("trying");
      toggle.setAttribute("aria-pressed", "true");
      toggle.textContent = "Show the answer";
      await refresh();
      focusOn(inside.querySelector("select, input"));
    }

    async function refresh() {
      inside.replaceChildren(waiting("Getting the calculators ready."));
      const opened = await ask("try-open", { calculator: section.dataset.calculator, place: section.id, inputs: window.GuideForms.texts(section) });
      if (!section.classList.contains("trying")) return;
      if (!opened.html) {
        inside.replaceChildren(line(opened.error || opened.trouble, "notice"));
        return;
      }
      inside.innerHTML = guideHTML(opened.html);
      const form = inside.querySelector("form");
      form.elements.what.addEventListener("change", () => {
        for (const hint of form.querySelectorAll("[data-for]")) hint.hidden = hint.dataset.for !== form.elements.what.value;
      });
      form.addEventListener("submit", (event) => {
        event.preventDefault();
        check(form);
      });
    }

    async function check(form) {
      const marked = await ask("try-mark", {
        calculator: section.dataset.calculator, place: section.id, inputs: window.GuideForms.texts(section),
        what: form.elements.what.value, answer: form.elements.answer.value,
      });
      const error = form.querySelector("[data-error]");
      error.textContent = marked.error || marked.trouble || "";
      const before = inside.querySelector("[data-tried]");
      if (before) before.remove();
      if (!marked.html) return focusOn(form.elements.answer);
      const told = make("div", { "data-tried": "" });
      told.innerHTML = guideHTML(marked.html);
      inside.append(told);
      lineByLine(told, close);
      return focusOn(told.querySelector("[tabindex]"));
    }

    /* Numbers that change make the try stale. */
    section.querySelector("form").addEventListener("input", () => section.classList.contains("trying") && later());
    section.querySelector("form").addEventListener("click", (event) => event.target.closest("button") && section.classList.contains("trying") && later());
    let timer = 0;
    function later() {
      clearTimeout(timer);
      timer = setTimeout(refresh, 400);
    }
  }

  /* The worked steps, one at a time, each when the reader asks for it. */
  function lineByLine(told, close) {
    const steps = told.querySelector("[data-steps]");
    const items = [...steps.querySelectorAll("ol.steps > li")];
    const rest = [...steps.children].filter((each) => !each.matches("ol.steps"));
    for (const each of [...items, ...rest]) each.hidden = true;
    const left = [...items];
    const more = button(items.length ? `Show the first of ${items.length} worked steps` : "Show the answer", () => {
      steps.hidden = false;
      const next = left.shift();
      if (next) {
        next.hidden = false;
        next.tabIndex = -1;
        focusOn(next);
      }
      if (left.length) {
        more.textContent = `Next step (${left.length} left)`;
        return;
      }
      for (const each of rest) each.hidden = false;
      more.textContent = "Show everything the calculator says";
      more.replaceWith(button("Show everything the calculator says", close, "main-button"));
    }, "main-button");
    told.append(more);
  }

  /* --- what was read ------------------------------------------------------------------------------ */

  function mountReading(root) {
    const marks = [...root.querySelectorAll("span.objective[data-objective]")].filter((mark) => !mark.dataset.watched);
    if (!marks.length || !window.IntersectionObserver) return;
    const timers = new Map();
    const watcher = new IntersectionObserver((seen) => {
      for (const { target, isIntersecting } of seen) {
        const name = target.querySelector("[data-objective]").dataset.objective;
        clearTimeout(timers.get(name));
        if (isIntersecting) timers.set(name, setTimeout(() => noteRead(name, target, watcher), READ_AFTER_MS));
      }
    }, { threshold: 0.9 });
    for (const mark of marks) {
      mark.dataset.watched = "yes";
      watcher.observe(mark.closest("li") || mark.parentElement);
    }
  }

  function noteRead(name, target, watcher) {
    watcher.unobserve(target);
    if (keeper.read().profiles[keeper.state.active].read[name]) return;
    keeper.change((state) => { state.profiles[state.active].read[name] = today(); });
  }

  /* --- progress -------------------------------------------------------------------------------------- */

  async function mountProgress(panel) {
    keeper.read();
    drawProgress(panel);
    await keeper.check();
    drawProgress(panel);
    drawStandings(panel);
  }

  async function drawStandings(panel) {
    const found = await ask("progress-standing", { profile: keeper.profile });
    const total = panel.querySelector("[data-totals]");
    if (!found.objectives) {
      total.textContent = found.refused || found.trouble;
      return;
    }
    const cells = [...document.querySelectorAll("[data-standing]")];
    const words = cells.map((cell) => {
      const each = found.objectives[cell.dataset.standing] || { word: keeper.profile.read[cell.dataset.standing] ? "read" : "not yet", forms: 0, tried: 0 };
      cell.dataset.word = each.word;
      cell.textContent = each.tried ? `${each.word}: ${each.right} of ${each.tried} right last time, ${each.forms} in all` : each.word;
      return each.word;
    });
    const count = (word) => words.filter((each) => each === word).length;
    total.textContent = `${keeper.profile.name}: of ${words.length} objectives ${count("mastered")} mastered, ${count("tried")} tried, ${count("read")} read, ${count("not yet")} not yet.`;
  }

  function drawProgress(panel) {
    const said = make("p", { class: "said", role: "status" });
    const readers = make("select", { id: "progress-reader" });
    keeper.state.profiles.forEach((each, place) => readers.append(make("option", { value: String(place), selected: place === keeper.state.active }, each.name)));
    readers.addEventListener("change", () => {
      keeper.change((state) => { state.active = Number(readers.value); });
      redraw(`Now reading: ${keeper.profile.name}.`);
    });
    const redraw = (words) => {
      drawProgress(panel);
      drawStandings(panel);
      panel.querySelector(".said").textContent = words;
    };
    const name = field("name", "Name or number", "", { maxlength: "40" });
    const named = () => name.querySelector("input").value.trim().replace(/\s+/g, " ");
    const add = button("Add this reader", () => {
      const wanted = named() || `Reader ${keeper.state.profiles.length + 1}`;
      if (keeper.state.profiles.some((each) => each.name === wanted)) return (said.textContent = `There is a reader “${wanted}” already.`);
      keeper.change((state) => {
        state.profiles.push({ name: wanted, cards: {}, read: {} });
        state.active = state.profiles.length - 1;
      });
      return redraw(`Now reading: ${wanted}.`);
    });
    const rename = button("Rename the present reader", () => {
      if (!named()) return (said.textContent = "Write the new name first.");
      keeper.change((state) => { state.profiles[state.active].name = named(); });
      return redraw(`Renamed to ${keeper.profile.name}.`);
    });
    const file = make("input", { type: "file", accept: ".json,application/json", id: "progress-file" });
    file.addEventListener("change", async () => {
      const picked = file.files[0];
      if (!picked) return;
      const text = await picked.text().catch(() => null);
      const read = text === null ? { refused: "the file could not be opened" } : await ask("progress-read", { text });
      file.value = "";
      if (!read.state) {
        said.textContent = `Nothing was changed: ${read.refused || read.trouble}.`;
        return;
      }
      keeper.damaged = null;
      keeper.change((state) => Object.assign(state, read.state));
      redraw(`Imported ${read.profiles} ${read.profiles === 1 ? "reader" : "readers"} and ${read.cards} practiced questions.`);
    });
    panel.replaceChildren(
      troubleLine(), make("p", { class: "reader", "data-totals": "" }, `Reader: ${keeper.profile.name}.`),
      make("div", { class: "progress-tools" },
        make("p", { class: "reply" }, make("label", { for: "progress-reader" }, "Who is reading"), readers), name, make("p", { class: "tools" }, add, rename),
        make("p", { class: "tools" },
          button("Export to a file", () => download(JSON.stringify(keeper.state, null, 1), "progress.json")),
          sure("Reset the present reader", "Yes, forget all that this reader did", () => {
            keeper.change((state) => { Object.assign(state.profiles[state.active], { cards: {}, read: {} }); });
            redraw("Reset.");
          }),
          keeper.state.profiles.length > 1 ? sure("Remove the present reader", "Yes, remove this reader", () => {
            keeper.change((state) => {
              state.profiles.splice(state.active, 1);
              state.active = 0;
            });
            redraw(`Removed. Now reading: ${keeper.profile.name}.`);
          }) : ""),
        make("p", { class: "reply" }, make("label", { for: "progress-file" }, "Import from a file (takes the place of what is here)"), file), damagedTools(redraw)),
      said,
    );
  }

  function damagedTools(redraw) {
    if (keeper.damaged === null) return "";
    return make("p", { class: "tools" },
      button("Save the damaged text", () => download(keeper.damaged, "progress-damaged.txt")),
      sure("Start over", "Yes, throw the damaged progress away", () => {
        keeper.damaged = null;
        keeper.trouble = "";
        keeper.state = fresh();
        keeper.write();
        redraw("Started over.");
      }));
  }

  /* A step that cannot be taken back is asked for twice. */
  function sure(words, question, then) {
    const first = button(words, () => {
      const yes = button(question, then);
      const no = button("No, keep it", () => {
        both.replaceWith(first);
        focusOn(first);
      });
      const both = make("span", { class: "tools" }, yes, no);
      first.replaceWith(both);
      focusOn(no);
    });
    return first;
  }

  function download(text, name) {
    const address = URL.createObjectURL(new Blob([text], { type: "application/json" }));
    const link = make("a", { href: address, download: name });
    document.body.append(link);
    link.click();
    link.remove();
    setTimeout(() => URL.revokeObjectURL(address), 10000);
  }

  /* --- for instructors --------------------------------------------------------------------------------- */

  async function mountWorksheets(panel) {
    panel.replaceChildren(waiting("Getting the questions ready."));
    const menu = await ask("practice-menu", {});
    if (menu.trouble) return panel.replaceChildren(line(menu.trouble, "notice"));
    const shown = document.documentElement.dataset.units;
    const form = make("form", { class: "practice-start", novalidate: true });
    const key = make("input", { type: "checkbox", name: "key", checked: true, id: "worksheet-key" });
    form.append(
      field("seed", "Seed", "7", { maxlength: "40" }), field("papers", "Papers", "30", { inputmode: "numeric" }), field("questions", "Questions on each", "12", { inputmode: "numeric" }),
      select("units", "Units", [["us", "US"], ["si", "SI"], ["both", "Both"]], shown || "us"), chapterChoice(menu.chapters, "sheet"),
      make("p", {}, make("label", { for: "worksheet-key" }, key, " A key behind each paper")),
      make("p", { class: "tools" }, make("button", { type: "submit", class: "main-button" }, "Make the papers")), make("p", { class: "said", role: "status" }),
    );
    const sheets = make("div", { class: "sheets" });
    form.addEventListener("submit", async (event) => {
      event.preventDefault();
      const said = form.querySelector(".said");
      said.textContent = "Making the papers.";
      const made = await ask("worksheet", { settings: {
        seed: form.elements.seed.value, papers: form.elements.papers.value, questions: form.elements.questions.value, units: form.elements.units.value,
        chapters: chosenChapters(form), key: key.checked,
      } });
      if (!made.html) {
        said.textContent = made.refused || made.trouble;
        return;
      }
      sheets.innerHTML = guideHTML(made.html);
      const print = button("Print", () => window.print(), "main-button");
      said.replaceChildren("Ready. The same papers come from: ", make("code", {}, made.line), " ", print);
      focusOn(print);
    });
    panel.replaceChildren(form, sheets);
    return undefined;
  }

  async function mountLinkMaker(panel) {
    panel.replaceChildren(waiting("Getting the questions ready."));
    const menu = await ask("practice-menu", {});
    if (menu.trouble) return panel.replaceChildren(line(menu.trouble, "notice"));
    const form = make("form", { class: "practice-start", novalidate: true });
    const out = make("input", { type: "text", readonly: true, id: "set-link" });
    form.append(
      chapterChoice(menu.chapters, "link"), field("count", "Questions", "10", { inputmode: "numeric" }), field("seed", "Seed", "7", { maxlength: "40" }),
      field("names", "Or name single questions by their ids, apart by commas", ""),
      make("p", { class: "reply" }, make("label", { for: "set-link" }, "Link to give out"), out), make("p", { class: "said", role: "status" }),
    );
    const write = async () => {
      const names = form.elements.names.value.trim();
      const fields = names ? { questions: names, seed: form.elements.seed.value }
        : { chapters: (chosenChapters(form).length ? chosenChapters(form) : menu.chapters.map((each) => each.id)).join(","), count: form.elements.count.value, seed: form.elements.seed.value };
      const link = new URL("practice.html", location.href);
      for (const [name, value] of Object.entries(fields)) link.searchParams.set(name, value);
      out.value = link.href.replaceAll("%2C", ",");
      const found = await ask("practice-link", { fields });
      form.querySelector(".said").textContent = found.refused && found.refused.length ? `Not all of it can be used: ${found.refused.join("; ")}.` : `Opens a set of ${found.set.length}.`;
    };
    form.addEventListener("submit", (event) => event.preventDefault());
    form.addEventListener("input", write);
    form.addEventListener("click", (event) => event.target.closest("button") && write());
    panel.replaceChildren(form);
    return write();
  }

  /* --- mounting ------------------------------------------------------------------------------------------ */

  const MOUNTS = { review: mountReview, oral: mountOral, progress: mountProgress, worksheets: mountWorksheets, link: mountLinkMaker };

  function mount(root) {
    if (!window.GuideEngine) return;
    for (const section of root.querySelectorAll("[data-calculator]")) {
      if (section.querySelector(".try") || !section.querySelector("[data-headline]")) continue;
      mountTry(section);
    }
    for (const panel of root.querySelectorAll("[data-practice]")) {
      if (panel.dataset.mounted) continue;
      panel.dataset.mounted = "yes";
      MOUNTS[panel.dataset.practice](panel);
    }
    mountReading(root);
  }

  if (window.document$) window.document$.subscribe(() => mount(document));
  if (document.readyState === "loading") document.addEventListener("DOMContentLoaded", () => mount(document));
  else mount(document);
})();
