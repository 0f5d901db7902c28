/* A slider beside each field that Python gave stops. It writes one of Python's texts into the field and asks for the
   quick answer while it moves; let go, it does what typing does. No limit, step or unit stands here. */
(function () {
  "use strict";
  if (!window.GuideEngine) return;

  let made = 0;

  class Slider {
    constructor(text) {
      this.text = text;
      this.section = text.closest("[data-calculator]");
      this.held = false;
      const label = this.section.querySelector(`label[for="${CSS.escape(text.id)}"]`);
      this.range = Guide.make("input", {
        type: "range", min: 0, step: 1, class: "slide", id: `slide-${++made}`,
        "aria-label": `${label ? label.textContent.trim() : text.name}, slider`,
      });
      this.range.addEventListener("input", (event) => { event.stopPropagation(); this.slide(); });
      this.range.addEventListener("change", (event) => { event.stopPropagation(); this.letGo(); });
      this.stand(Number(text.dataset.stop));
      text.after(this.range);
    }

    stops() {
      const si = Guide.system() === "si" && this.text.dataset.stopsSi;
      return (si || this.text.dataset.stops).split("|");
    }

    stand(stop) {
      this.range.max = this.stops().length - 1;
      if (stop !== undefined && !Number.isNaN(stop)) this.range.value = stop;
      this.range.setAttribute("aria-valuetext", this.text.value || "blank");
    }

    /* What moves is seen whole, or as much of it as the window holds. */
    hold() {
      if (this.held) return;
      this.held = true;
      const drawing = this.section.querySelector(".view svg");
      if (drawing) drawing.scrollIntoView({ block: "nearest", inline: "nearest", behavior: "instant" });
    }

    slide() {
      this.hold();
      this.text.value = this.stops()[Number(this.range.value)];
      this.range.setAttribute("aria-valuetext", this.text.value);
      if (GuideEngine.state === "ready") Guide.form(this.section).move();
    }

    get stop() {
      return Number(this.range.value);
    }

    /* To a stop, or to the last one on the way there. */
    moveTo(stop) {
      const asked = Math.min(Math.max(stop, 0), Number(this.range.max));
      if (asked === this.stop) return;
      this.range.value = asked;
      this.slide();
    }

    letGo() {
      this.held = false;
      this.text.dispatchEvent(new Event("input", { bubbles: true }));
    }
  }

  /* What was typed, linked or filled in by a button moves the slider too; Python says where to. */
  document.addEventListener("guide-answered", (event) => {
    for (const text of event.target.querySelectorAll("input[data-stops]")) {
      if (text.slider && !text.slider.held) text.slider.stand((event.detail.slides || {})[text.name]);
    }
  });

  Guide.onEach("[data-calculator] input[data-stops]", (text) => { text.slider = new Slider(text); });
})();
