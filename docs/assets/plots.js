/* What goes with a drawing on the page: buttons that save it, and a player for the plots that come with frames.
   Python worked out the frames and writes the files; this only shows and hands out. No number is made here.

   `mount` may be called again on the same page, and each new answer is dressed as it comes in. */
(function () {
  "use strict";

  const FORMATS = [["svg", "Save drawing (SVG)"], ["csv", "Save numbers (CSV)"]];
  const stillness = window.matchMedia("(prefers-reduced-motion: reduce)");
  const watched = new WeakSet();
  const players = new Set();

  function make(tag, attributes, ...children) {
    const made = document.createElement(tag);
    for (const [name, value] of Object.entries(attributes || {})) {
      if (name === "onclick") made.addEventListener("click", value);
      else made.setAttribute(name, value);
    }
    made.append(...children);
    return made;
  }

  /* --- saving ------------------------------------------------------------------ */

  function handOut(file) {
    const address = URL.createObjectURL(new Blob([file.text], { type: file.type }));
    make("a", { href: address, download: file.name }).click();
    setTimeout(() => URL.revokeObjectURL(address), 10000);
  }

  async function save(figure, format, said) {
    const section = figure.closest("[data-calculator]");
    const file = await GuideEngine.call({
      do: "figure", calculator: section.dataset.calculator, inputs: GuideForms.texts(section), system: GuideForms.system(),
      figure: figure.dataset.figure, as: format,
    });
    if (file && file.text) {
      handOut(file);
      said.textContent = `Saved as ${file.name}.`;
    } else {
      said.textContent = (file && file.trouble) || "Saving needs the calculators, which could not start.";
    }
  }

  function addSaving(figure) {
    const said = make("span", { class: "said", role: "status" });
    const buttons = FORMATS.filter(([format]) => format === "svg" || figure.querySelector("svg.plot"))
      .map(([format, words]) => make("button", { type: "button", "data-save": format, onclick: () => save(figure, format, said) }, words));
    figure.append(make("div", { class: "figure-tools" }, ...buttons, said));
  }

  /* --- playing ------------------------------------------------------------------ */

  class Player {
    constructor(figure, answer) {
      this.figure = figure;
      this.film = JSON.parse(figure.dataset.film);
      this.last = this.film.says.us.length - 1;
      this.moving = [];
      for (const each of answer.querySelectorAll("figure[data-film]")) {
        const film = each === figure ? this.film : JSON.parse(each.dataset.film);
        if (each === figure || film.follows === figure.dataset.figure) this.follow(each, film);
      }
      this.addControls();
      this.show(this.film.rest);
    }

    follow(figure, film) {
      for (const [part, shifts] of Object.entries(film.moves)) {
        for (const group of figure.querySelectorAll(`[data-part="${CSS.escape(part)}"]`)) this.moving.push({ group, shifts });
      }
    }

    addControls() {
      this.button = make("button", { type: "button", "data-play": "", onclick: () => (this.playing ? this.pause() : this.play()) });
      const step = (by, words) => make("button", { type: "button", "data-step": by, onclick: () => this.step(by) }, words);
      this.slider = make("input", {
        type: "range", min: 0, max: this.last, step: 1, "aria-label": `${this.film.label}: moment shown`, "data-moment": "",
      });
      this.slider.addEventListener("input", () => { this.pause(); this.show(Number(this.slider.value)); });
      this.told = make("p", { class: "told", "data-told": "" });
      this.heard = make("p", { class: "visually-hidden", role: "status" });
      const hint = make("p", { class: "hint" }, this.film.hint);
      this.figure.querySelector("svg").after(make(
        "div", { class: "player", role: "group", "aria-label": this.film.label },
        make("p", { class: "player-name" }, this.film.label),
        make("div", { class: "player-row" }, this.button, step(-1, "Back"), step(1, "On"), this.slider), this.told, hint, this.heard,
      ));
      this.obeyStillness();
    }

    /* Who asked for less motion steps through the same moments by slider and buttons. */
    obeyStillness() {
      this.button.hidden = stillness.matches;
      this.pause();
    }

    words() {
      const units = document.documentElement.dataset.units;
      return (this.film.says[units] || this.film.says.both)[Math.round(this.place)];
    }

    /* `place` may lie between two moments: the parts then stand between their places. */
    show(place) {
      this.place = place;
      const before = Math.floor(place);
      const after = Math.min(before + 1, this.last);
      const share = place - before;
      for (const { group, shifts } of this.moving) {
        const [x, y] = [0, 1].map((axis) => shifts[before][axis] + (shifts[after][axis] - shifts[before][axis]) * share);
        group.setAttribute("transform", `translate(${x} ${y})`);
      }
      this.slider.value = Math.round(place);
      const words = this.words();
      if (this.told.textContent === words) return;
      this.told.textContent = words;
      this.slider.setAttribute("aria-valuetext", words);
    }

    step(by) {
      this.pause();
      this.show(Math.max(0, Math.min(this.last, Math.round(this.place) + by)));
      this.heard.textContent = this.words();
    }

    play() {
      if (this.place >= this.last) this.show(0);
      this.playing = true;
      this.button.textContent = "Pause";
      this.clock = null;
      requestAnimationFrame((now) => this.tick(now));
    }

    tick(now) {
      if (!this.playing || !this.figure.isConnected) return;
      if (this.clock !== null) {
        const place = this.place + ((now - this.clock) / 1000) * (this.last / this.film.seconds);
        this.show(Math.min(place, this.last));
        if (place >= this.last) this.pause();
      }
      this.clock = now;
      if (this.playing) requestAnimationFrame((next) => this.tick(next));
    }

    pause() {
      if (this.playing) this.heard.textContent = this.words();
      this.playing = false;
      this.button.textContent = "Play";
    }
  }

  function everyPlayer(act) {
    for (const player of players) {
      if (player.figure.isConnected) act(player);
      else players.delete(player);
    }
  }

  /* --- mounting ------------------------------------------------------------------ */

  function dress(answer) {
    for (const figure of answer.querySelectorAll("figure[data-figure]")) {
      if (figure.querySelector(".figure-tools")) continue;
      addSaving(figure);
      if (figure.dataset.film && !JSON.parse(figure.dataset.film).follows) players.add(new Player(figure, answer));
    }
    everyPlayer(() => {});
  }

  function mount(root) {
    for (const answer of root.querySelectorAll("[data-answer]")) {
      dress(answer);
      if (watched.has(answer)) continue;
      watched.add(answer);
      new MutationObserver(() => dress(answer)).observe(answer, { childList: true });
    }
  }

  stillness.addEventListener("change", () => everyPlayer((player) => player.obeyStillness()));
  new MutationObserver(() => everyPlayer((player) => player.show(player.place)))
    .observe(document.documentElement, { attributes: true, attributeFilter: ["data-units"] });
  if (window.document$) window.document$.subscribe(() => mount(document));
  if (document.readyState === "loading") document.addEventListener("DOMContentLoaded", () => mount(document));
  else mount(document);
})();
