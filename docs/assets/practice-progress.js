/* The pages of progress: the readers of this browser and where they stand; worksheets and links for instructors. */
(function () {
  "use strict";
  if (!window.GuidePractice) return;
  const { make, plainButton, download } = Guide;
  const {
    ask, keeper, reader, troubleLine, onPanel, menuFor, focusOn, tools, startForm, submitButton, select, field,
    chapterChoice, chosenChapters, sheetsReady,
  } = GuidePractice;

  const NUMERIC = { inputmode: "numeric" };
  const SHORT = { maxlength: "40" };

  /* --- readers ------------------------------------------------------------------------------ */

  async function mountProgress(panel) {
    keeper.read();
    drawReaders(panel);
    await keeper.check();
    drawReaders(panel);
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
    const words = [...document.querySelectorAll("[data-standing]")].map((cell) => {
      const objective = cell.dataset.standing;
      const untried = { word: read[objective] ? "read" : "not tried yet" };
      const { word, tried, right, forms } = found.objectives[objective] || untried;
      cell.dataset.word = word;
      cell.textContent = tried ? `${word} (questions ${forms}, tried ${tried}, right last time ${right})` : word;
      return word;
    });
    const count = (word) => `${words.filter((each) => each === word).length} ${word}`;
    total.textContent = `${name}: of ${words.length} objectives ${count("known")}, ${count("shaky")}, `
      + `${count("read")}, ${count("not tried yet")}.`;
  }

  function drawReaders(panel) {
    const { state } = keeper;
    const said = Guide.status();
    const redraw = (words) => {
      drawReaders(panel);
      drawStandings(panel);
      panel.querySelector(".said").textContent = words;
    };
    const readers = make("select", { id: "progress-reader" }, ...state.profiles.map((each, place) =>
      make("option", { value: String(place), selected: place === state.active }, each.name)));
    readers.addEventListener("change", () => {
      keeper.change((now) => { now.active = Number(readers.value); });
      redraw(`Now reading: ${keeper.profile.name}.`);
    });
    const file = make("input", { type: "file", accept: ".json,application/json", id: "progress-file" });
    file.addEventListener("change", () => importFile(file, said, redraw));
    panel.replaceChildren(
      troubleLine(), make("p", { class: "reader", "data-totals": "" }, `Reader: ${keeper.profile.name}.`),
      make("div", {},
        make("p", { class: "reply" }, make("label", { for: "progress-reader" }, "Who is reading"), readers),
        ...naming(said, redraw), tools(plainButton("Export to a file", () => keeper.save()), ...removing(redraw)),
        make("p", { class: "reply" },
          make("label", { for: "progress-file" }, "Import from a file (replaces everything that is here)"), file),
        damagedTools(redraw)),
      said,
    );
  }

  function naming(said, redraw) {
    const name = field("name", "Name or number", "", SHORT);
    const named = () => name.querySelector("input").value.trim().replace(/\s+/g, " ");
    const add = plainButton("Add this reader", () => {
      const wanted = named() || `Reader ${keeper.state.profiles.length + 1}`;
      if (keeper.state.profiles.some((each) => each.name === wanted)) {
        said.textContent = `There is a reader “${wanted}” already.`;
        return;
      }
      keeper.change((state) => {
        state.active = state.profiles.push(reader(wanted)) - 1;
      });
      redraw(`Now reading: ${wanted}.`);
    });
    const rename = plainButton("Rename the present reader", () => {
      if (!named()) {
        said.textContent = "Write the new name first.";
        return;
      }
      keeper.change(() => { keeper.profile.name = named(); });
      redraw(`Renamed to ${keeper.profile.name}.`);
    });
    return [name, tools(add, rename)];
  }

  function removing(redraw) {
    const reset = sure("Reset the present reader", "Yes, delete all that this reader did", () => {
      keeper.change(() => { Object.assign(keeper.profile, reader(keeper.profile.name)); });
      redraw("Reset.");
    });
    const remove = sure("Remove the present reader", "Yes, remove this reader", () => {
      keeper.change((state) => {
        state.profiles.splice(state.active, 1);
        state.active = 0;
      });
      redraw(`Removed. Now reading: ${keeper.profile.name}.`);
    });
    return keeper.state.profiles.length > 1 ? [reset, remove] : [reset];
  }

  async function importFile(file, said, redraw) {
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
    const readers = read.profiles === 1 ? "reader" : "readers";
    redraw(`Imported ${read.profiles} ${readers}. Practiced questions: ${read.cards}.`);
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
