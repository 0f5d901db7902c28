/* What practice shares, as `GuidePractice`: asking Python, what this browser keeps of the readers and of the set under
   way, pieces of its panels. Python draws, marks and schedules; these scripts carry answers to it, keep what comes
   back, and move the focus. */
(function () {
  "use strict";
  if (!window.GuideEngine) return;
  const { make, plainButton, local } = Guide;

  const KEY = "guide.practice";
  const SET_KEY = "guide.practice.under-way.";
  const FORMAT = "plate-test-guide-progress";
  const VERSION = 3;
  const UNDO_KEY = "guide.practice.before-import";
  const MAIN = { class: "main-button" };
  const CLOSED = "This browser keeps nothing for this page, so your progress lasts until you close it. "
    + "Export it to keep it.";
  const FULL = "This browser has no room left, so the newest progress is not kept. "
    + "Export it before you close the page.";

  const line = (words, look) => make("p", look ? { class: look } : {}, words);

  /* `again`: the reader pressed something, so calculators that failed before are tried once more. */
  async function ask(what, fields, again = false) {
    if (again && GuideEngine.state === "failed") await GuideEngine.retry();
    await shopQuestions();
    const answer = await GuideEngine.call({ do: what, system: Guide.system(), today: Guide.today(), ...fields });
    if (answer.ok !== false) return answer;
    const reason = String(answer.reason || "no reason was given").replace(/\.$/, "");
    return {
      trouble: `The questions could not start: ${reason}. Reload the page to try again: a set that you began is kept.`,
    };
  }

  /* Questions of the class that the reader is in join the guide's. An engine that starts anew knows them no longer, so
     each time it is told which they are, and asks for them where it has others. */
  let joined = "";

  async function shopQuestions() {
    const key = Guide.ofClass ? Guide.ofClass.key() : "";
    if (!key && !joined) return;
    const { wanted } = await GuideEngine.call({ do: "class-questions", key });
    if (wanted) await GuideEngine.call({ do: "class-questions", key, text: Guide.ofClass.text() });
    joined = key;
  }

  /* What the reader's own test says, by calculator and input: what the reader wrote, not what stands in. */
  function ownFigures() {
    const mine = Guide.mine ? Guide.mine.get() : null;
    const figures = {};
    for (const [calculator, fields] of Object.entries(mine ? mine.own : {})) {
      const fills = mine.fills[calculator] || {};
      const said = Object.keys(fields).filter((name) => fields[name] in mine.values && fills[name]);
      if (said.length) figures[calculator] = Object.fromEntries(said.map((name) => [name, fills[name]]));
    }
    return figures;
  }

  /* --- what this browser keeps ------------------------------------------------------- */

  function reader(name) {
    return { name, cards: {}, read: {}, memory: {} };
  }

  /* The reader's own day and time: answers are told apart by it. */
  function moment() {
    return `${Guide.today()}T${new Date().toTimeString().slice(0, 8)}`;
  }

  function fresh() {
    return { format: FORMAT, version: VERSION, active: 0, profiles: [reader("Reader 1")] };
  }

  const session = Guide.storage("sessionStorage");
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
      const text = local.get(KEY);
      if (text === undefined) {
        this.trouble = CLOSED;
        return (this.state = this.state || fresh());
      }
      if (text === null) return (this.state = fresh());
      try {
        const found = JSON.parse(text);
        if (found.version > VERSION) return this.setAside(text, "it was written by a newer version of the guide");
        const whole = found.profiles.every((each) => each.cards && each.read) && found.profiles[found.active].name;
        if (found.format !== FORMAT || !whole) throw new Error();
        return (this.state = found);
      } catch {
        return this.setAside(text, "it is damaged");
      }
    },

    setAside(text, reason) {
      this.damaged = text;
      this.trouble = `The progress kept in this browser could not be read: ${reason}. It is left as it is, `
        + "and this visit is not kept. On the progress page you can save the damaged text and start over.";
      return (this.state = fresh());
    },

    startOver() {
      this.damaged = null;
      this.trouble = "";
      this.state = fresh();
      this.write();
    },

    /* Python looks closer than the glue does. */
    async check() {
      this.read();
      if (this.damaged !== null || this.checked) return;
      const answer = await ask("progress-read", { text: JSON.stringify(this.state) });
      this.checked = true;
      if (answer.refused) this.setAside(JSON.stringify(this.state), answer.refused);
      /* An older state comes back as today's, with nothing lost. */
      else if (answer.state && this.state.version < VERSION) this.change((state) => Object.assign(state, answer.state));
    },

    write() {
      if (this.damaged !== null) return;
      /* Who this is, whatever the name: two files of one reader can be joined by it. */
      for (const each of this.state.profiles) if (!(each.ids || []).length) each.ids = [GuideRecord.identifier("p")];
      const lost = local.set(KEY, JSON.stringify(this.state));
      this.unwritten = Boolean(lost);
      this.trouble = lost && (lost === "full" ? FULL : CLOSED);
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

    card(form) {
      return this.profile.cards[form] || null;
    },

    /* What Python answers to an answer: its grade, the question's card, and what is remembered of its objective. */
    keepCard(form, { card, objective, memory, checked, grade }) {
      this.change((state) => {
        const { answers = {} } = this.profile;
        /* A state of an older version is brought to today's first, or its cards would count this answer twice. */
        if (state.version === VERSION) {
          this.profile.answers = { ...answers, [form]: { ...answers[form], [moment()]: grade } };
        }
        this.profile.cards[form] = card;
        if (!memory) return;
        this.profile.memory = { ...this.profile.memory, [objective]: memory };
        if (checked) this.profile.checked = checked;
      });
    },

    /* A practice plate; null takes it away. */
    keepPlate(id, plate) {
      this.change(() => {
        const { [id]: _, ...others } = this.profile.plates || {};
        this.profile.plates = plate ? { ...others, [id]: plate } : others;
      });
    },

    /* A state with a file joined to it. It can be taken back until something else changes. */
    bring(state) {
      const before = JSON.stringify(this.read());
      this.change((now) => Object.assign(now, state));
      this.brought = JSON.stringify({ before, after: JSON.stringify(this.state) });
      session.set(UNDO_KEY, this.brought); /* not kept, it lasts until the page closes */
    },

    /* The state before the import, or null where there was none or something changed since. */
    get beforeImport() {
      try {
        const { before, after } = JSON.parse(this.brought || session.get(UNDO_KEY));
        return after === JSON.stringify(this.state) ? JSON.parse(before) : null;
      } catch {
        return null;
      }
    },

    undoImport() {
      const before = this.beforeImport;
      if (before) this.change((now) => Object.assign(now, before));
      this.brought = "";
      session.remove(UNDO_KEY);
      return Boolean(before);
    },

    /* What a plan goes by. Where nothing was written here stand the day of the reader's own test, then what the class
       that they are in says. */
    get plan() {
      const mine = (Guide.mine && Guide.mine.get()) || { values: {} };
      const ofClass = (Guide.ofClass && Guide.ofClass.get()) || {};
      const { cards, memory = {}, checked = null, minutes = ofClass.minutes || 15, test_date = "", plates = {} } =
        this.profile;
      const day = test_date || mine.values.test_date || ofClass.day || "";
      return { cards, memory, checked, minutes, plates, test_date: day };
    },

    save() {
      Guide.download("progress.json", JSON.stringify(this.state, null, 1));
    },
  };

  /* The set under way, in this tab: a reload, a new version of the guide or a crash of the page does not end it. */
  const underWay = {
    get(kind) {
      try {
        const found = JSON.parse(session.get(SET_KEY + kind));
        return found && found.search === location.search && found.reader === keeper.profile.name ? found : null;
      } catch {
        return null;
      }
    },
    set(kind, data) {
      const mine = { search: location.search, reader: keeper.profile.name, ...data };
      session.set(SET_KEY + kind, JSON.stringify(mine)); /* not kept, it lasts until the page closes */
    },
    end(kind) {
      session.remove(SET_KEY + kind);
    },
  };

  function goOn(panel, kind, words, resume, leave) {
    const start = plainButton("Go on with it", resume, MAIN);
    const other = plainButton("End it", () => { underWay.end(kind); leave(); });
    const told = make("p", { role: "status", "data-under-way": "" }, words);
    panel.replaceChildren(told, troubleLine(), tools(start, other));
  }

  function troubleLine() {
    if (!keeper.trouble) return "";
    const out = keeper.unwritten ? plainButton("Export your progress", () => keeper.save()) : "";
    return make("p", { class: "notice", role: "alert" }, keeper.trouble, " ", out);
  }

  /* --- pieces of the panels -------------------------------------------------------------- */

  /* Calls `mount` with every panel of this kind. */
  function onPanel(kind, mount) {
    Guide.onEach(`[data-practice="${kind}"]`, mount);
  }

  /* The menu of questions; null where the engine gave none, which the panel then says. */
  async function menuFor(panel) {
    panel.replaceChildren(waiting("Getting the questions ready."));
    const menu = await ask("practice-menu", {});
    if (!menu.trouble) return menu;
    panel.replaceChildren(line(menu.trouble, "notice"));
    return null;
  }

  function waiting(words) {
    const shown = make("p", { class: "engine", role: "status" }, words);
    Guide.listenFor(shown, document, "guide-engine", () => {
      if (GuideEngine.state === "loading") Guide.say(shown, words + Guide.engineShare());
    });
    return shown;
  }

  function focusOn(element) {
    if (!element) return;
    element.focus({ preventScroll: true });
    element.scrollIntoView({ block: "nearest" });
  }

  function tools(...buttons) {
    return make("p", { class: "tools" }, ...buttons);
  }

  function startForm(...parts) {
    return make("form", { class: "practice-start", novalidate: true }, ...parts);
  }

  function submitButton(words) {
    return make("button", { type: "submit", ...MAIN }, words);
  }

  let places = 0;

  /* A label and its control, made with a name of its own. */
  function labeled(name, label, control) {
    control.id = `practice-${name}-${++places}`;
    control.name = name;
    return make("p", { class: "reply" }, make("label", { for: control.id }, label), control);
  }

  function select(name, label, choices, chosen) {
    const options = choices.map(([value, words]) => make("option", { value, selected: value === chosen }, words));
    return labeled(name, label, make("select", {}, ...options));
  }

  function field(name, label, value, more) {
    return labeled(name, label, make("input", { value, type: "text", autocomplete: "off", ...more }));
  }

  function chapterChoice(chapters, ident) {
    const choices = chapters.map(({ id, title, forms }) => {
      const look = { type: "checkbox", name: "chapter", value: id, checked: true, id: `${ident}-${id}` };
      return make("label", {}, make("input", look), ` ${title} `, make("small", {}, `(${forms})`));
    });
    const boxes = make("div", { class: "boxes" }, ...choices);
    const all = (value) => () => { for (const box of boxes.querySelectorAll("input")) box.checked = value; };
    return make("fieldset", { class: "chapter-choice" }, make("legend", {}, "Chapters"), boxes,
      tools(plainButton("All", all(true)), plainButton("None", all(false))));
  }

  /* None where all are chosen. */
  function chosenChapters(form) {
    const boxes = [...form.querySelectorAll("input[name=chapter]")];
    const chosen = boxes.filter((box) => box.checked).map((box) => box.value);
    return chosen.length === boxes.length ? [] : chosen;
  }

  /* What Python printed, ready to go to paper, or why not. */
  function sheetsReady(sheets, said, { html, line: command, refused, trouble }) {
    if (!html) {
      said.textContent = refused || trouble;
      return;
    }
    sheets.innerHTML = guideHTML(html);
    const print = plainButton("Print", () => window.print(), MAIN);
    said.replaceChildren("Ready. This command makes the same sheets: ", make("code", {}, command), " ", print);
    focusOn(print);
  }

  window.GuidePractice = {
    MAIN, line, ask, ownFigures, keeper, reader, moment, underWay, goOn, troubleLine, onPanel, menuFor, waiting,
    focusOn, tools, startForm, submitButton, select, field, chapterChoice, chosenChapters, sheetsReady,
  };
})();
