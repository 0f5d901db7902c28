/* The grips of a drawing: pulling one moves the slider of the input that it sets. How far a grip lies from stop to stop
   stands in the drawing and at the field, by Python; no geometry stands here. */
(function () {
  "use strict";
  if (!window.GuideEngine) return;

  let pull = null;

  function grab(event) {
    const grip = event.target.closest(".grip");
    const section = grip && grip.closest("[data-calculator]");
    const text = section && section.querySelector(`[data-field="${CSS.escape(grip.dataset.sets)}"] input[data-stops]`);
    if (!text || !text.slider) return;
    event.preventDefault();
    const pixels = grip.ownerSVGElement.getScreenCTM().a;
    const [us, si] = text.dataset.steps.split(" ").map(Number);
    const stop = pixels * (Guide.system() === "si" ? si : us);
    const [along, down] = [grip.dataset.along * stop, grip.dataset.down * stop];
    const { pointerId, clientX, clientY } = event;
    pull = { slider: text.slider, from: text.slider.stop, along, down, pointerId, clientX, clientY };
    section.classList.add("pulled");
    text.slider.hold();
  }

  function move(event) {
    if (!pull || event.pointerId !== pull.pointerId) return;
    const { along, down, from, slider } = pull;
    const way = (event.clientX - pull.clientX) * along + (event.clientY - pull.clientY) * down;
    slider.moveTo(from + Math.round(way / (along * along + down * down)));
  }

  function letGo(event) {
    if (!pull || event.pointerId !== pull.pointerId) return;
    pull.slider.section.classList.remove("pulled");
    pull.slider.letGo();
    pull = null;
  }

  document.addEventListener("pointerdown", grab);
  document.addEventListener("pointermove", move);
  document.addEventListener("pointerup", letGo);
  document.addEventListener("pointercancel", letGo);
})();
