/* Try first, at every calculator: the reader works a figure out before the answer is shown. And what was read: an
   objective that stood in sight for a moment. */
(function () {
  "use strict";
  if (!window.GuidePractice) return;
  const { make, plainButton } = Guide;
  const { MAIN, line, ask, keeper, waiting, focusOn, tools } = GuidePractice;

  const REFRESH_AFTER_MS = 400;
  const READ_AFTER_MS = 1500;

  /* --- try first ------------------------------------------------------------------------ */

  function mountTry(section) {
    const answer = section.querySelector("[data-answer]");
    if (!answer) return;
    const words = "Try it first";
    const toggle = plainButton(words, () => (trying() ? close() : open()), { title: "Hides the answer and asks you" });
    const inside = make("div", { class: "try-inside" });
    const trying = () => section.classList.contains("trying");
    answer.before(make("div", { class: "try" }, inside));
    section.querySelector("[data-reset]").before(toggle);
    show(false);

    function show(hidden) {
      section.classList.toggle("trying", hidden);
      toggle.setAttribute("aria-pressed", String(hidden));
      toggle.textContent = hidden ? "Show the answer" : words;
    }

    function close() {
      show(false);
      inside.replaceChildren();
      focusOn(toggle);
    }

    async function open() {
      show(true);
      await refresh();
      focusOn(inside.querySelector("select, input"));
    }

    async function refresh() {
      inside.replaceChildren(waiting("Getting the calculators ready."));
      const opened = await ask("try-open", Guide.form(section).question());
      if (!trying()) return;
      if (!opened.html) return inside.replaceChildren(line(opened.error || opened.trouble, "notice"));
      inside.innerHTML = guideHTML(opened.html);
      const form = inside.querySelector("form");
      const { what } = form.elements;
      what.addEventListener("change", () => {
        for (const hint of form.querySelectorAll("[data-for]")) hint.hidden = hint.dataset.for !== what.value;
      });
      form.addEventListener("submit", (event) => {
        event.preventDefault();
        check(form);
      });
    }

    async function check(form) {
      const { what, answer } = form.elements;
      const question = { ...Guide.form(section).question(), what: what.value, answer: answer.value };
      const marked = await ask("try-mark", question);
      form.querySelector("[data-error]").textContent = marked.error || marked.trouble || "";
      const before = inside.querySelector("[data-tried]");
      if (before) before.remove();
      if (!marked.html) return focusOn(answer);
      const told = make("div", { "data-tried": "" });
      told.innerHTML = guideHTML(marked.html);
      inside.append(told);
      lineByLine(told, close);
      focusOn(told.querySelector("[tabindex]"));
    }

    /* Numbers that change make the try stale. */
    let timer = 0;
    function later() {
      if (!trying()) return;
      clearTimeout(timer);
      timer = setTimeout(refresh, REFRESH_AFTER_MS);
    }
    section.querySelector("form").addEventListener("input", later);
    section.querySelector("form").addEventListener("click", ({ target }) => {
      if (target.closest("button") && !toggle.contains(target)) later();
    });
  }

  /* The worked steps, one at a time, each when the reader asks for it. */
  function lineByLine(told, close) {
    const steps = told.querySelector("[data-steps]");
    const left = [...steps.querySelectorAll("ol.steps > li")];
    const rest = [...steps.children].filter((each) => !each.matches("ol.steps"));
    for (const each of [...left, ...rest]) each.hidden = true;
    const more = plainButton(left.length ? `Show the first of ${left.length} worked steps` : "Show the answer", () => {
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
      more.replaceWith(plainButton("Show the whole answer", close, MAIN));
    }, MAIN);
    told.append(more);
  }

  /* --- worked steps before the answer, fading by standing ---------------------------------------- */

  GuidePractice.offerSteps = (form, question, { offer, level }) => {
    const button = plainButton(offer, async () => {
      const shown = await ask("practice-worked", { ...question, level }, true);
      if (!shown.html) {
        button.after(line(shown.trouble || "", "notice"));
        return;
      }
      form.dataset.worked = "yes";
      const steps = make("div", { class: "worked-first" });
      steps.innerHTML = guideHTML(shown.html);
      button.replaceWith(steps);
      focusOn(steps.querySelector("h4"));
      for (const field of steps.querySelectorAll("[data-step]")) {
        const check = () => checkStep(field, { ...question, level });
        steps.querySelector(`[data-check="${field.dataset.step}"]`).addEventListener("click", check);
        /* Enter belongs to the step, not to the whole question. */
        field.addEventListener("keydown", (event) => {
          if (event.key !== "Enter") return;
          event.preventDefault();
          check();
        });
      }
    });
    form.querySelector("fieldset .reply").before(button);
  };

  async function checkStep(field, question) {
    const said = field.parentElement.querySelector(".said");
    const marked = await ask("practice-worked-mark", { ...question, step: field.dataset.step, answer: field.value });
    const wrong = marked.error || marked.trouble;
    Guide.markInvalid([field], wrong);
    if (wrong) said.textContent = wrong;
    else said.innerHTML = guideHTML(marked.html);
  }

  /* --- what was read ------------------------------------------------------------------------------ */

  const timers = new Map();
  const watcher = window.IntersectionObserver && new IntersectionObserver((seen) => {
    for (const { target, isIntersecting } of seen) {
      const name = target.querySelector("[data-objective]").dataset.objective;
      clearTimeout(timers.get(name));
      if (isIntersecting) timers.set(name, setTimeout(() => noteRead(name, target), READ_AFTER_MS));
    }
  }, { threshold: 0.9 });

  function noteRead(name, target) {
    watcher.unobserve(target);
    if (keeper.read().profiles[keeper.state.active].read[name]) return;
    keeper.change(() => { keeper.profile.read[name] = Guide.today(); });
  }

  Guide.onEach("[data-calculator]", mountTry);
  if (watcher) {
    Guide.onEach("span.objective[data-objective]", (mark) => watcher.observe(mark.closest("li") || mark.parentElement));
  }
})();
