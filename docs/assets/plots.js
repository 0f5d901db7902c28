/* What goes with a drawing on the page: buttons that save it, and a player for the plots that come with frames.
   Python worked out the frames and writes the files; this only shows and hands out. No number is made here. */
(function () {
  "use strict";
  const { make, button } = Guide;

  const FORMATS = [["svg", "Save drawing"], ["csv", "Save numbers"]];
  const stillness = window.matchMedia("(prefers-reduced-motion: reduce)");
  const players = new Set();

  /* --- saving ------------------------------------------------------------------ */

  async function save(section, name, format, said) {
    const question = Guide.form(section).question();
    const file = await GuideEngine.call({ ...question, do: "figure", figure: name, as: format });
    if (file && file.text) {
      Guide.download(file.name, file.text, file.type);
      said.textContent = `Saved as ${file.name}.`;
    } else {
      said.textContent = (file && file.trouble) || "Saving needs the calculators, which could not start.";
    }
  }

  /* Buttons of the same drawing that stand there already keep the focus. */
  function addSaving(section, figure) {
    const place = (figure.closest(".view") && section.querySelector(".inputs .tools")) || figure;
    const name = figure.dataset.figure;
    const before = place.querySelector(".figure-tools");
    if (before && before.dataset.saves === name) return;
    if (before) before.remove();
    const said = Guide.status({}, "span");
    const formats = FORMATS.filter(([format]) => format === "svg" || figure.querySelector("svg.plot"));
    const buttons = formats.map(
      ([format, words]) => button(words, () => save(section, name, format, said), { "data-save": format }));
    const made = make("div", { class: "figure-tools", "data-saves": name }, ...buttons, said);
    const copy = place.querySelector("[data-copy]");
    if (copy) copy.after(made);
    else place.append(made);
  }

  /* --- playing ------------------------------------------------------------------ */

  class Player {
    constructor(section, figure, place) {
      this.section = section;
      this.figure = figure;
      this.film = JSON.parse(figure.dataset.film);
      this.last = this.film.says.us.length - 1;
      this.addControls(place);
      this.place = this.film.rest;
      this.gather();
    }

    /* The parts that move, of this plot and of those that follow it: each may have been drawn anew. */
    gather() {
      this.moving = [];
      for (const each of this.section.querySelectorAll("figure[data-film]")) {
        const film = each === this.figure ? this.film : JSON.parse(each.dataset.film);
        if (each === this.figure || film.follows === this.figure.dataset.figure) this.follow(each, film);
      }
      this.show(this.place);
    }

    follow(figure, film) {
      for (const [part, shifts] of Object.entries(film.moves)) {
        for (const group of figure.querySelectorAll(`[data-part="${CSS.escape(part)}"]`)) {
          this.moving.push({ group, shifts });
        }
      }
    }

    addControls(place) {
      const { label, hint } = this.film;
      this.button = button("Play", () => (this.playing ? this.pause() : this.play()), { "data-play": "" });
      const step = (by, words) => button(words, () => this.step(by), { "data-step": by });
      this.slider = make("input", {
        type: "range", min: 0, max: this.last, step: 1, "aria-label": `${label}: moment shown`, "data-moment": "",
      });
      this.slider.addEventListener("input", () => { this.pause(); this.show(Number(this.slider.value)); });
      this.told = make("p", { class: "told", "data-told": "" });
      this.heard = Guide.status({ class: "visually-hidden" });
      const row = make("div", { class: "player-row" }, this.button, step(-1, "Back"), step(1, "Forward"), this.slider);
      const group = make(
        "div", { class: "player", role: "group", "aria-label": label },
        make("p", { class: "player-name" }, label), row, this.told, make("p", { class: "hint" }, hint), this.heard,
      );
      /* The moment shown is no number of the form. */
      for (const kind of ["input", "change"]) group.addEventListener(kind, (event) => event.stopPropagation());
      const before = place.querySelector(".player");
      if (before) before.replaceWith(group);
      else if (place === this.figure) this.figure.querySelector("svg").after(group);
      else place.append(group);
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
        const [from, to] = [shifts[before], shifts[after]];
        const [x, y] = [0, 1].map((axis) => from[axis] + (to[axis] - from[axis]) * share);
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

  const dressed = new WeakSet();

  /* The picture stays in sight and is small: its player is folded under the inputs. */
  function placeOf(section, figure) {
    if (!figure.closest(".view")) return figure;
    let place = section.querySelector(".with-picture");
    if (!place) {
      const { label } = JSON.parse(figure.dataset.film);
      place = make("details", { class: "more with-picture" }, make("summary", {}, label));
      section.querySelector("[data-engine]").before(place);
    }
    return place;
  }

  function dress(section) {
    const fresh = [...section.querySelectorAll("figure[data-figure]")].filter((figure) => !dressed.has(figure));
    for (const figure of fresh) {
      dressed.add(figure);
      addSaving(section, figure);
      if (figure.dataset.film && !JSON.parse(figure.dataset.film).follows) {
        players.add(new Player(section, figure, placeOf(section, figure)));
      }
    }
    if (fresh.length) everyPlayer((player) => { if (player.section === section) player.gather(); });
  }

  stillness.addEventListener("change", () => everyPlayer((player) => player.obeyStillness()));
  new MutationObserver(() => everyPlayer((player) => player.show(player.place)))
    .observe(document.documentElement, { attributes: true, attributeFilter: ["data-units"] });
  /* Each new answer is dressed as it comes in. */
  Guide.onEach("[data-calculator]", (section) => {
    dress(section);
    const drawn = new MutationObserver(() => dress(section));
    for (const part of section.querySelectorAll(".view, [data-answer]")) drawn.observe(part, { childList: true });
  });
})();
