/* The mock oral: a question to be answered aloud, the answer to compare with, the reader's own judgment. */
(function () {
  "use strict";
  if (!window.GuidePractice) return;
  const { make, plainButton } = Guide;
  const {
    MAIN, line, ask, keeper, underWay, goOn, troubleLine, focusOn, tools, startForm, submitButton, select,
  } = GuidePractice;

  const TIMES = [["0", "No timer"], ["30", "30 seconds"], ["60", "60 seconds"], ["90", "90 seconds"]];
  const GRADES = [["had", "Right"], ["partly", "Right in part, or not sure"], ["missed", "Not right"]];

  async function start(panel, oral, said) {
    const answer = await ask("practice-oral", { seed: oral.seed }, true);
    if (answer.trouble) {
      said.textContent = answer.trouble;
      return;
    }
    await keeper.check();
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
    const said = Guide.status();
    const form = startForm(
      select("seconds", "Time for each answer", TIMES, "60"), tools(submitButton("Start the mock oral")), said);
    form.addEventListener("submit", (event) => {
      event.preventDefault();
      said.textContent = "Getting the questions ready.";
      const seed = String(Math.floor(Math.random() * 1e9));
      const seconds = Number(form.elements.seconds.value);
      start(panel, { seed, place: 0, seconds, counts: { had: 0, partly: 0, missed: 0 } }, said);
    });
    panel.replaceChildren(form);
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
    const text = make("div");
    text.innerHTML = guideHTML(item.html);
    const clock = make("p", { class: "clock", role: "timer", "aria-live": "off" });
    const over = Guide.status();
    const stop = seconds ? countDown(clock, over, seconds) : () => {};
    const grade = ([name, words]) => plainButton(words, async () => {
      counts[name] += 1;
      const { memory, checked } = keeper.plan;
      const given = { form: item.form, grade: name, card: keeper.card(item.form), memory, checked };
      const graded = await ask("practice-grade", given, true);
      if (graded.card) keeper.keepCard(item.form, graded);
      step(panel, oral, place + 1);
    });
    const show = plainButton("Show the answer", () => {
      stop();
      show.remove();
      const told = make("div", { class: "marked", tabindex: "-1" });
      told.innerHTML = guideHTML(item.answer);
      told.append(troubleLine(), line("Compare it with yours. Your answer was:"), tools(...GRADES.map(grade)));
      panel.append(told);
      focusOn(told);
    }, MAIN);
    const help = line("Say your answer aloud, in full sentences. Then look at the answer.", "help");
    panel.replaceChildren(head, text, clock, over, help, show);
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
