/* The mock oral: a question to be answered aloud, the answer to compare with, the reader's own judgment. */
(function () {
  "use strict";
  if (!window.GuidePractice) return;
  const { make, plainButton } = Guide;
  const {
    MAIN, line, ask, keeper, underWay, goOn, troubleLine, focusOn, tools, startForm, submitButton, select, field,
  } = GuidePractice;

  const TIMES = [["0", "No timer"], ["30", "30 seconds"], ["60", "60 seconds"], ["90", "90 seconds"]];
  const GRADES = [["had", "Right"], ["partly", "Right in part, or not sure"], ["missed", "Not right"]];

  async function start(panel, oral, said) {
    const answer = await ask("practice-oral", { seed: oral.seed }, true);
    if (!answer.asked) {
      said.textContent = answer.refused || answer.trouble;
      return;
    }
    await keeper.check();
    Guide.setAddress(`${location.pathname}${location.search}#oral=${encodeURIComponent(answer.seed)}`);
    step(panel, { ...answer, ...oral }, oral.place);
  }

  function mount(panel) {
    keeper.read();
    const kept = underWay.get("oral");
    if (kept && kept.counts && Number.isInteger(kept.place)) {
      const { seed, place, seconds, counts } = kept;
      const resume = () => start(panel, { seed, place, seconds, counts }, panel.querySelector("[data-under-way]"));
      goOn(panel, "oral", `You are in the middle of a mock oral: ${place} answered.`, resume, () => mount(panel));
      return;
    }
    startScreen(panel);
  }

  function startScreen(panel) {
    const linked = new URLSearchParams(location.hash.slice(1)).get("oral");
    const said = Guide.status();
    const sheets = make("div", { class: "sheets" });
    const units = document.documentElement.dataset.units;
    const form = startForm(
      field("seed", "Seed: a number or a word", linked || String(Math.floor(Math.random() * 1e6)), { maxlength: "40" }),
      select("seconds", "Time for each answer", TIMES, "60"), tools(submitButton("Start the mock oral")),
      make("details", { class: "mock-print" }, make("summary", {}, "On paper, with the instructor's sheet"),
        select("units", "Units", Guide.UNITS, units), tools(plainButton("Make the sheets", () => paper()))), said,
    );
    form.addEventListener("submit", (event) => {
      event.preventDefault();
      said.textContent = "Getting the questions ready.";
      const seconds = Number(form.elements.seconds.value);
      const seed = form.elements.seed.value.trim();
      start(panel, { seed, place: 0, seconds, counts: { had: 0, partly: 0, missed: 0 } }, said);
    });
    async function paper() {
      const settings = { seed: form.elements.seed.value, units: form.elements.units.value, key: true, oral: true };
      GuidePractice.sheetsReady(sheets, said, await ask("worksheet", { settings }, true));
    }
    panel.replaceChildren(form, sheets);
  }

  function step(panel, oral, place) {
    const { asked, seed, seconds, counts } = oral;
    const item = asked[place];
    if (!item) {
      underWay.end("oral");
      end(panel, asked.length, counts);
      return;
    }
    underWay.set("oral", { seed, place, seconds, counts });
    const head = make("h3", { tabindex: "-1" }, `${place + 1} of ${asked.length}: ${item.chapter}`);
    const link = make("p", { class: "help" }, `Seed ${seed}. The address of this page opens the same questions.`);
    const text = make("div");
    text.innerHTML = guideHTML(item.html);
    const clock = make("p", { class: "clock", role: "timer", "aria-live": "off" });
    const over = Guide.status();
    const stop = seconds ? countDown(clock, over, seconds) : () => {};
    const wrong = make("p", { class: "error", role: "alert" });
    let busy = false;
    const grade = ([name, words]) => plainButton(words, async () => {
      if (busy) return;
      busy = true;
      const { memory, checked } = keeper.plan;
      const given = { form: item.form, grade: name, card: keeper.card(item.form), memory, checked };
      const graded = await ask("practice-grade", given, true);
      busy = false;
      wrong.textContent = graded.card ? "" : `Not counted. ${graded.refused || graded.error || graded.trouble}`;
      if (!graded.card) return;
      keeper.keepCard(item.form, graded);
      counts[name] += 1;
      step(panel, oral, place + 1);
    });
    const show = plainButton("Show the answer", () => {
      stop();
      show.remove();
      const told = make("div", { class: "marked", tabindex: "-1" });
      told.innerHTML = guideHTML(item.answer);
      told.append(troubleLine(), line("Compare it with yours. Your answer was:"), tools(...GRADES.map(grade)), wrong);
      panel.append(told);
      focusOn(told);
    }, MAIN);
    const help = line("Say your answer aloud, in full sentences. Then look at the answer.", "help");
    panel.replaceChildren(head, link, text, clock, over, help, show);
    focusOn(head);
  }

  function countDown(clock, over, seconds) {
    const end = Date.now() + seconds * 1000;
    const show = (left) => { clock.textContent = `${Math.floor(left / 60)}:${String(left % 60).padStart(2, "0")}`; };
    const timer = setInterval(() => {
      const left = Math.max(0, Math.ceil((end - Date.now()) / 1000));
      show(left);
      if (left && clock.isConnected) return;
      clearInterval(timer);
      if (!left) over.textContent = "Time is up. Finish your sentence, then look at the answer.";
    }, 500);
    show(seconds);
    return () => clearInterval(timer);
  }

  function end(panel, total, { had, partly, missed }) {
    const head = make("h3", { tabindex: "-1" }, "End of the mock oral");
    panel.replaceChildren(
      head, line(`Questions: ${total}. Right: ${had}. Right in part, or not sure: ${partly}. Not right: ${missed}. `
        + "What was not right is set for today: your next set asks it."),
      plainButton("Start another mock oral", () => mount(panel), MAIN),
    );
    focusOn(head);
  }

  GuidePractice.onPanel("oral", mount);
})();
