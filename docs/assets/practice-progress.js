/* The pages of progress: the readers of this browser and where they stand; worksheets and links for instructors. */
(function () {
  "use strict";
  if (!window.GuidePractice) return;
  const { make, plainButton, download } = Guide;
  const {
    MAIN, ask, keeper, reader, troubleLine, onPanel, menuFor, focusOn, tools, startForm, submitButton, select, field,
    chapterChoice, chosenChapters, sheetsReady,
  } = GuidePractice;

  const NUMERIC = { inputmode: "numeric" };
  const SHORT = { maxlength: "40" };

  /* --- readers ------------------------------------------------------------------------------ */

  async function mountProgress(panel) {
    keeper.read();
    drawReaders(panel);
    /* Whoever began something here meanwhile goes on with it, unless another state was found. */
    const shown = () => JSON.stringify(keeper.state) + keeper.trouble;
    const before = shown();
    await keeper.check();
    if (shown() !== before) drawReaders(panel);
    drawStandings(panel);
  }

  async function drawStandings(panel) {
    const found = await ask("progress-standing", { profile: keeper.profile });
    const total = panel.querySelector("[data-totals]");
    if (!found.objectives) {
      total.textContent = found.refused || found.trouble;
      return;
    }
    const { name, read } = keeper.profile;
    for (const cell of document.querySelectorAll("[data-standing]")) {
      const objective = cell.dataset.standing;
      const untried = { word: read[objective] ? "read" : "not tried yet" };
      const { word, tried, right, forms } = found.objectives[objective] || untried;
      cell.dataset.word = word;
      cell.textContent = tried ? `${word} (questions ${forms}, tried ${tried}, right last time ${right})` : word;
    }
    for (const fold of document.querySelectorAll("details.objectives")) drawChapter(fold);
    const counts = countsIn(document);
    const all = document.querySelectorAll("[data-standing]").length;
    total.textContent = `${name}: of ${all} objectives ${told(counts)}.`;
    drawToday(panel);
  }

  const WORDS = ["known", "shaky", "read", "not tried yet"];

  function countsIn(part) {
    return WORDS.map((word) => [word, part.querySelectorAll(`[data-standing][data-word="${word}"]`).length]);
  }

  const told = (counts) => counts.map(([word, count]) => `${count} ${word}`).join(", ");

  /* A bar whose parts are as wide as their counts, and the counts in words beside it. */
  function drawChapter(fold) {
    const counts = countsIn(fold).filter(([, count]) => count);
    const parts = counts.map(([word, count]) => {
      const part = make("span", { "data-word": word });
      part.style.flexGrow = count;
      return part;
    });
    fold.querySelector("[data-chapter-standing]").replaceChildren(
      make("span", { class: "bar", "aria-hidden": "true" }, ...parts), make("span", {}, told(counts)));
  }

  async function drawToday(panel) {
    const place = panel.querySelector("[data-today]");
    const found = await ask("practice-daily", { ...keeper.plan, size: 1, chapters: [] });
    if (found.trouble) return;
    const words = found.planned ? found.told : `Set for today: ${found.due}. Not tried yet: ${found.new}.`;
    place.replaceChildren(`${words} `, make("a", { href: "practice.html" }, "Practice now"));
  }

  /* Another tab may read as somebody else now, or have changed the readers: does it to the reader that this page shows.
     Gives back the words that `act` says, or that there is no such reader. */
  function onReader(name, act) {
    let words = `There is no reader “${name}” any more: another tab has changed the readers.`;
    keeper.change((state) => {
      const place = state.profiles.findIndex((each) => each.name === name);
      if (place >= 0) words = act(state, place);
    });
    return words;
  }

  function drawReaders(panel) {
    const { state } = keeper;
    const names = state.profiles.map((each) => each.name);
    const shown = names[state.active];
    const said = Guide.status();
    const redraw = (words) => {
      drawReaders(panel);
      drawStandings(panel);
      panel.querySelector(".said").textContent = words;
    };
    const readers = make("select", { id: "progress-reader" }, ...names.map((name, place) =>
      make("option", { value: String(place), selected: place === state.active }, name)));
    readers.addEventListener("change", () => redraw(onReader(names[readers.value], (now, place) => {
      now.active = place;
      return `Now reading: ${now.profiles[place].name}.`;
    })));
    const file = make("input", { type: "file", accept: ".json,application/json", id: "progress-file" });
    const bring = make("div", { class: "bring" });
    file.addEventListener("change", () => importFile(file, bring, said, redraw));
    panel.replaceChildren(
      troubleLine(),
      make("p", { class: "reply" }, make("label", { for: "progress-reader" }, "Who is reading"), readers),
      make("p", { class: "reader", "data-totals": "" }, `Reader: ${shown}.`),
      make("p", { "data-today": "" }), said, undoTool(redraw), damagedTools(redraw),
      make("details", {}, make("summary", {}, "Readers: add, rename, remove"),
        ...naming(shown, said, redraw), tools(...removing(shown, redraw))),
      make("p", { class: "reply" }, plainButton("Export to a file", () => keeper.save())),
      make("p", { class: "reply" },
        make("label", { for: "progress-file" }, "Import from a file (joins what is here)"), file), bring,
    );
  }

  function undoTool(redraw) {
    if (!keeper.beforeImport) return "";
    return tools(plainButton("Undo the import", () => {
      redraw(keeper.undoImport() ? "The import is undone." : "Something changed since; the import stays.");
    }, { "data-undo-import": "" }));
  }

  function naming(shown, said, redraw) {
    const name = field("name", "Name or number", "", SHORT);
    const named = () => name.querySelector("input").value.trim().replace(/\s+/g, " ");
    const taken = (wanted) => {
      const found = keeper.read().profiles.some((each) => each.name === wanted);
      if (found) said.textContent = `There is a reader “${wanted}” already.`;
      return found;
    };
    const add = plainButton("Add this reader", () => {
      const wanted = named() || `Reader ${keeper.read().profiles.length + 1}`;
      if (taken(wanted)) return;
      keeper.change((state) => {
        state.active = state.profiles.push(reader(wanted)) - 1;
      });
      redraw(`Now reading: ${wanted}.`);
    });
    const rename = plainButton("Rename the present reader", () => {
      const wanted = named();
      if (!wanted) said.textContent = "Write the new name first.";
      if (!wanted || taken(wanted)) return;
      redraw(onReader(shown, (state, place) => {
        state.profiles[place].name = wanted;
        return `Renamed to ${wanted}.`;
      }));
    });
    return [name, tools(add, rename)];
  }

  function removing(shown, redraw) {
    const reset = sure("Reset the present reader", "Yes, delete all that this reader did", () => {
      redraw(onReader(shown, (state, place) => {
        state.profiles[place] = { ...reader(shown), ids: state.profiles[place].ids };
        return `Reset: ${shown}.`;
      }));
    });
    const remove = sure("Remove the present reader", "Yes, remove this reader", () => {
      redraw(onReader(shown, (state, place) => {
        const { profiles } = state;
        if (profiles.length < 2) return `${shown} is the only reader, and stays.`;
        const active = profiles[state.active];
        profiles.splice(place, 1);
        state.active = Math.max(0, profiles.indexOf(active));
        return `Removed: ${shown}. Now reading: ${profiles[state.active].name}.`;
      }));
    });
    return keeper.state.profiles.length > 1 ? [reset, remove] : [reset];
  }

  /* Tells what the file would change, asks who is who, and joins it when the reader says so. */
  async function importFile(file, place, said, redraw) {
    const picked = file.files[0];
    if (!picked) return;
    const text = await picked.text().catch(() => null);
    file.value = "";
    place.replaceChildren();
    const look = (choices) => ask("progress-bring", { state: keeper.read(), text, choices });
    const found = keeper.damaged !== null
      ? { refused: "first save the damaged text, then start over" }
      : text === null ? { refused: "the file could not be opened" } : await look({});
    if (!found.html) {
      said.textContent = `Nothing was changed: ${found.refused || found.trouble}.`;
      return;
    }
    if (!found.adds) {
      said.textContent = "Nothing was changed: all that the file holds is here already.";
      return;
    }
    const list = make("ul");
    list.innerHTML = guideHTML(found.html);
    const chosen = (asked) => list.querySelector(`input[name="meet-${asked}"]:checked`);
    const wrong = make("p", { class: "error", role: "alert" });
    const join = plainButton("Import this", async () => {
      const open = found.asks.filter((asked) => !chosen(asked));
      wrong.textContent = open.length ? "Say first who is who." : "";
      if (open.length) return focusOn(list.querySelector(`input[name="meet-${open[0]}"]`));
      const now = await look(Object.fromEntries(found.asks.map((asked) => [asked, chosen(asked).value])));
      if (!now.state) {
        wrong.textContent = `Nothing was changed: ${now.waits || now.refused || now.trouble}.`;
        return;
      }
      keeper.bring(now.state);
      redraw("Imported. Nothing that was here is lost.");
    }, MAIN);
    const leave = plainButton("Leave it", () => {
      place.replaceChildren();
      said.textContent = "Nothing was changed.";
    });
    const head = make("h3", { tabindex: "-1" }, "What this file would change");
    place.replaceChildren(head, list, wrong, tools(join, leave));
    focusOn(head);
  }

  function damagedTools(redraw) {
    if (keeper.damaged === null) return "";
    return tools(
      plainButton("Save the damaged text", () => download("progress-damaged.txt", keeper.damaged)),
      sure("Start over", "Yes, delete the damaged progress", () => {
        keeper.startOver();
        redraw("Started over.");
      }));
  }

  /* A step that cannot be taken back is asked for twice. */
  function sure(words, question, then) {
    const first = plainButton(words, () => {
      const no = plainButton("No, keep it", () => {
        both.replaceWith(first);
        focusOn(first);
      });
      const both = make("span", { class: "tools" }, plainButton(question, then), no);
      first.replaceWith(both);
      focusOn(no);
    });
    return first;
  }

  /* --- for instructors --------------------------------------------------------------------------------- */

  async function mountWorksheets(panel) {
    const menu = await menuFor(panel);
    if (!menu) return;
    const said = Guide.status();
    const key = make("input", { type: "checkbox", name: "key", checked: true, id: "worksheet-key" });
    const form = startForm(
      field("seed", "Seed", "7", SHORT), field("papers", "Worksheets", "30", NUMERIC),
      field("questions", "Questions on each", "12", NUMERIC),
      select("units", "Units", Guide.UNITS, document.documentElement.dataset.units),
      chapterChoice(menu.chapters, "sheet"),
      make("p", {}, make("label", { for: "worksheet-key" }, key, " An answer key behind each worksheet")),
      tools(submitButton("Make the worksheets")), said,
    );
    const sheets = make("div", { class: "sheets" });
    form.addEventListener("submit", async (event) => {
      event.preventDefault();
      said.textContent = "Making the worksheets.";
      const { seed, papers, questions, units } = form.elements;
      const made = await ask("worksheet", { settings: {
        seed: seed.value, papers: papers.value, questions: questions.value, units: units.value,
        chapters: chosenChapters(form), key: key.checked,
      } });
      sheetsReady(sheets, said, made);
    });
    panel.replaceChildren(form, sheets);
  }

  async function mountLinkMaker(panel) {
    const menu = await menuFor(panel);
    if (!menu) return;
    const said = Guide.status();
    const out = make("input", { type: "text", readonly: true, id: "set-link" });
    const form = startForm(
      chapterChoice(menu.chapters, "link"), field("count", "Questions", "10", NUMERIC),
      field("seed", "Seed", "7", SHORT), field("names", "Or name single questions by their ids, with commas", ""),
      make("p", { class: "reply" }, make("label", { for: "set-link" }, "Link to give out"), out), said,
    );
    const write = async () => {
      const { names, seed, count } = form.elements;
      const chosen = chosenChapters(form);
      const chapters = (chosen.length ? chosen : menu.chapters.map((each) => each.id)).join(",");
      const fields = names.value.trim() ? { questions: names.value.trim(), seed: seed.value }
        : { chapters, count: count.value, seed: seed.value };
      const link = new URL("practice.html", location.href);
      for (const [name, value] of Object.entries(fields)) link.searchParams.set(name, value);
      out.value = link.href.replaceAll("%2C", ",");
      const { refused, set, trouble } = await ask("practice-link", { fields });
      said.textContent = refused && refused.length ? `Not all of it can be used: ${refused.join("; ")}.`
        : trouble || `Opens a set of ${set.length}.`;
    };
    form.addEventListener("submit", (event) => event.preventDefault());
    form.addEventListener("input", write);
    form.addEventListener("click", (event) => event.target.closest("button") && write());
    panel.replaceChildren(form);
    await write();
  }

  onPanel("progress", mountProgress);
  onPanel("worksheets", mountWorksheets);
  onPanel("link", mountLinkMaker);
})();
