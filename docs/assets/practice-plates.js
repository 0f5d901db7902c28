/* Practice plates: the short form, the plates of the records, the list. Python reads, judges and draws; what is kept
   goes with the reader's progress, and into the calculator of the page. */
(function () {
  "use strict";
  if (!window.GuidePractice) return;
  const { make, plainButton } = Guide;
  const { MAIN, line, ask, keeper, moment, troubleLine, onPanel, waiting, focusOn, tools } = GuidePractice;

  const FILLED = "guide.practice.plates-filled";

  async function mountPlates(panel) {
    panel.replaceChildren(waiting("Getting the plates ready."));
    await keeper.check();
    const { html, trouble } = await ask("plates-form", { place: "plate" });
    if (trouble) {
      panel.replaceChildren(line(trouble, "notice"));
      return;
    }
    const form = make("div");
    form.innerHTML = guideHTML(html);
    const said = Guide.status({}, "div");
    const found = make("div");
    const kept = make("div");
    /* What was done, unless the browser did not keep it. */
    const redraw = (words) => {
      said.replaceChildren(troubleLine() || words);
      return draw(kept);
    };
    form.addEventListener("submit", (event) => {
      event.preventDefault();
      log(form.querySelector("form"), redraw);
    });
    kept.addEventListener("click", (event) => {
      const button = event.target.closest("[data-remove-plate]");
      if (button) takeAway(button.dataset.removePlate, redraw, said);
    });
    panel.replaceChildren(line(`Reader: ${keeper.profile.name}.`, "reader"), troubleLine(), form,
      tools(plainButton("Take plates from my records", () => fromRecords(found, redraw, said))), said, found, kept);
    await draw(kept);
  }

  async function draw(kept) {
    const told = await ask("plates-told", { plates: keeper.profile.plates || {} });
    if (!told.html) {
      kept.replaceChildren(line(told.refused || told.trouble, "notice"));
      return;
    }
    kept.innerHTML = guideHTML(told.html);
    if (told.rows) fillCalculator(kept, told.rows);
  }

  /* The rows of the calculator follow the plates, unless the reader wrote others there. */
  function fillCalculator(kept, rows) {
    const form = Guide.forms().find((each) => each.id === "plate-chance");
    if (!form || form.texts().plates === rows) return;
    const put = () => {
      form.take({ plates: rows });
      Guide.local.set(FILLED, form.texts().plates);
    };
    if ([form.printed.plates, Guide.local.get(FILLED)].includes(form.texts().plates)) put();
    else kept.append(tools(plainButton("Put these plates into the calculator", put)));
  }

  async function log(form, redraw) {
    if (form.dataset.busy) return null;
    form.dataset.busy = "yes";
    const error = form.querySelector("[data-error]");
    const cells = Object.fromEntries(new FormData(form));
    const made = await ask("plates-log", { cells, id: GuideRecord.identifier("plate-"), at: moment() });
    delete form.dataset.busy;
    const wrong = made.error || made.refused || made.trouble || "";
    error.textContent = wrong;
    const field = made.field && form.querySelector(`[data-column="${made.field}"] :is(input, select)`);
    Guide.markInvalid(form.querySelectorAll("input, select"), "");
    if (field) Guide.markInvalid([field], wrong);
    if (wrong) return focusOn(field || error);
    keeper.keepPlate(made.id, made.plate);
    form.reset();
    await redraw("The plate is kept.");
    return null;
  }

  async function takeAway(id, redraw, said) {
    const { [id]: plate } = keeper.profile.plates || {};
    if (!plate) return; /* a second press */
    keeper.keepPlate(id, null);
    await redraw("The plate is removed. ");
    const undo = plainButton("Undo: put it back", () => {
      keeper.keepPlate(id, plate);
      redraw("The plate is back.");
    });
    said.append(undo);
    focusOn(undo);
  }

  /* Records of the test day that have a verdict, each to be taken or left. */
  async function fromRecords(place, redraw, said) {
    const { store } = await GuideRecord.openStore();
    const records = (await store.all()).filter((each) => !each.deleted).map((each) => each.record);
    const { plates = {}, unfinished = 0, trouble } = await ask("plates-of-records", { records });
    const mine = keeper.profile.plates || {};
    const fresh = Object.entries(plates).filter(([id, { plate }]) => !mine[id] || mine[id].at !== plate.at);
    const waits = unfinished ? ` Without a verdict yet: ${unfinished}.` : "";
    if (trouble || !fresh.length) {
      said.textContent = trouble || `No finished record that is not kept already.${waits}`;
      place.replaceChildren();
      return;
    }
    const boxes = fresh.map(([id, { words }]) => make("label", { class: "option" },
      make("input", { type: "checkbox", checked: true, value: id }), make("span", {}, words)));
    const keep = plainButton("Keep these plates", async () => {
      const chosen = [...place.querySelectorAll("input:checked")].map((box) => box.value);
      for (const id of chosen) keeper.keepPlate(id, plates[id].plate);
      place.replaceChildren();
      await redraw(`Plates kept: ${chosen.length}.`);
    }, MAIN);
    said.textContent = `Finished records: ${fresh.length}.${waits}`;
    place.replaceChildren(make("div", { class: "options" }, ...boxes), tools(keep));
  }

  onPanel("plates", mountPlates);
})();
