/* A calculator shown large, for a projector: its sentence, its picture and its main inputs alone. Its address is
   #show-ID. Keys: left and right go to the other calculators of the page, Escape leaves. */
(function () {
  "use strict";
  const { setAddress } = Guide;

  const IN_ADDRESS = "#show-";

  const shown = () => document.querySelector(".calculator.large");

  function show(section) {
    const before = shown();
    if (before) before.classList.remove("large");
    section.classList.add("large");
    document.documentElement.classList.add("shows-large");
    section.scrollTop = 0;
    const leave = section.querySelector("[data-leave-large]");
    if (leave) leave.focus();
    setAddress(`${IN_ADDRESS}${section.id}`);
  }

  /* Back to where it stands in its page. */
  function leave() {
    const section = shown();
    if (!section) return;
    section.classList.remove("large");
    document.documentElement.classList.remove("shows-large");
    if (location.hash.startsWith(IN_ADDRESS)) setAddress(`#${section.id}`);
    if (document.fullscreenElement) document.exitFullscreen().catch(() => {});
    section.scrollIntoView();
    section.querySelector("[data-large]").focus();
  }

  function step(by) {
    const all = [...document.querySelectorAll("[data-calculator]")];
    show(all[(all.indexOf(shown()) + by + all.length) % all.length]);
  }

  async function pressed(section) {
    show(section);
    /* Of the whole page, so that another calculator can take the place. */
    try { await document.documentElement.requestFullscreen(); } catch { /* it fills the window all the same */ }
  }

  function keyed(event) {
    if (!shown() || event.target.matches("input, select")) return;
    if (event.key === "ArrowRight") step(1);
    else if (event.key === "ArrowLeft") step(-1);
  }

  function fromAddress() {
    const section = location.hash.startsWith(IN_ADDRESS)
      && document.getElementById(decodeURIComponent(location.hash.slice(IN_ADDRESS.length)));
    if (section && section.matches("[data-calculator]")) show(section);
    else leave();
  }

  Guide.onEach("[data-calculator]", (section) => {
    const tools = section.querySelector(".tools");
    if (!tools) return;
    tools.prepend(Guide.button("Show large", () => pressed(section), { "data-large": "" }));
    section.querySelector("fieldset").append(
      Guide.button("Leave the large view", leave, { class: "leave-large", "data-leave-large": "" }));
  });
  Guide.onPage(() => {
    if (!shown()) document.documentElement.classList.remove("shows-large");
    fromAddress();
  });
  window.addEventListener("hashchange", fromAddress);
  document.addEventListener("keydown", (event) => (event.key === "Escape" ? leave() : keyed(event)));
  document.addEventListener("fullscreenchange", () => { if (!document.fullscreenElement) leave(); });
})();
