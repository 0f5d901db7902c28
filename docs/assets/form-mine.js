/* Where the numbers of a form come from, said beside them: the reader's own test, or a link. A field that differs from
   the test says so and offers both ways back. The form itself (form.js) keeps the numbers. */
(function () {
  "use strict";
  const { make, button } = Guide;

  const CONTROLS = "input, select";
  const tops = new WeakMap();

  /* --- the top of the form ----------------------------------------------------------- */

  function testLink(name) {
    const home = document.querySelector("[data-mine-line]");
    return make("a", { href: home ? home.getAttribute("href") : "your-test.html" }, name);
  }

  function fromTest() {
    const words = ["Filled from your test ", testLink(nameOfTest()), "."];
    return make("p", { class: "from-test", "data-from-test": "" }, ...words);
  }

  function nameOfTest() {
    const mine = Guide.mine.get();
    return (mine && (mine.name || mine.line)) || "";
  }

  function fromLink(form) {
    const over = (act, told) => async () => {
      await act();
      form.tell();
      form.said.textContent = told;
      form.said.focus();
    };
    const keep = over(() => form.own(), "Kept: these are your numbers now.");
    const leave = over(() => form.backToMine(), "Your own numbers are back.");
    return make("div", { class: "notice", "data-from-link": "" },
      make("p", { role: "status" }, "These are the link's numbers, not yours."),
      make("div", { class: "tools" },
        button("Keep these", keep, { "data-keep-link": "" }),
        button("Back to mine", leave, { "data-back-to-mine": "" })));
  }

  function drawTop(form, filled) {
    const told = form.visiting ? "link" : filled && `test ${nameOfTest()}`;
    const { shown, part } = tops.get(form) || {};
    if (shown === told) return;
    if (part) part.remove();
    const made = !told ? null : form.visiting ? fromLink(form) : fromTest();
    if (made) form.form.querySelector(".question").after(made);
    tops.set(form, { shown: told, part: made });
  }

  function drawBack(form, filled) {
    let back = form.form.querySelector("[data-mine-reset]");
    if (!back && filled) {
      back = button("Back to my test", () => form.take(form.base), { "data-mine-reset": "" });
      form.form.querySelector("[data-reset]").after(back);
    }
    if (back) back.hidden = !filled;
  }

  /* --- a field that differs ------------------------------------------------------------ */

  /* The test's text as the field shows it: a choice by its words, rows on one line. */
  function shownText(field, text) {
    const select = !field.querySelector("[data-rows]") && field.querySelector("select");
    const option = select && [...select.options].find((each) => each.value === text);
    return option ? option.text : text.replaceAll("\n", "; ") || "blank";
  }

  function focusOn(field) {
    field.querySelector(CONTROLS).focus();
  }

  async function makeMine(form, name, field) {
    const before = form.base[name];
    const refused = await Guide.mine.set(Guide.mine.get().own[form.id][name], form.texts()[name]);
    form.said.textContent = refused || "";
    if (refused) return;
    if (form.base[name] !== before) form.take({ [name]: form.base[name] });
    focusOn(field);
  }

  function note(form, name, field) {
    const label = field.querySelector("label, .label").firstChild.textContent.trim();
    const use = button("Use mine", () => {
      form.take({ [name]: form.base[name] });
      focusOn(field);
    }, { "data-use-mine": "", "aria-label": `Use mine: ${label}` });
    const change = button("Make it mine", () => makeMine(form, name, field), {
      "data-make-mine": "", "aria-label": `Make it mine: ${label}`,
    });
    return make("p", { class: "differs", "data-differs": "" }, make("span", {}), use, change);
  }

  /* `said`: the test says something of this field. */
  function drawNote(form, name, field, text, said) {
    const differs = !form.visiting && said && text !== form.base[name] && form.alike[name] !== text;
    let told = field.querySelector("[data-differs]");
    if (!differs) {
      if (told) told.remove();
      return;
    }
    if (!told) {
      told = note(form, name, field);
      field.querySelector("[data-error]").before(told);
    }
    Guide.say(told.firstChild, `Your test: ${shownText(field, form.base[name])}`);
    const own = (Guide.mine.get().own[form.id] || {})[name];
    told.querySelector("[data-make-mine]").hidden = !own;
  }

  function draw(form) {
    const { fills } = form;
    const filled = Object.keys(fills).length > 0;
    drawTop(form, filled);
    drawBack(form, filled);
    const texts = form.texts();
    for (const field of form.form.querySelectorAll("[data-field]")) {
      const name = field.dataset.field;
      drawNote(form, name, field, texts[name], name in fills);
    }
  }

  document.addEventListener("guide-numbers", (event) => draw(Guide.form(event.target)));
})();
