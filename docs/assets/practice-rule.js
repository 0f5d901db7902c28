/* The rule of a drawing to measure on: dragged and turned by hand, or by the keys. What it reads stands on it, drawn by
   Python; nothing is measured here. */
(function () {
  "use strict";
  const [TURN, STEP, FAR] = [1, 1, 10];
  const MOVES = { ArrowLeft: [-STEP, 0], ArrowRight: [STEP, 0], ArrowUp: [0, -STEP], ArrowDown: [0, STEP] };
  let held = null;

  /* Where the rule lies: its left upper corner in the drawing, and how far it is turned. */
  const at = (rule) => rule.dataset.at.split(" ").map(Number);

  function put(rule, x, y, turn) {
    const { width, height } = rule.ownerSVGElement.viewBox.baseVal;
    const kept = [Math.min(Math.max(x, 0), width - 8), Math.min(Math.max(y, 0), height - 8), turn % 360];
    rule.dataset.at = kept.join(" ");
    rule.setAttribute("transform", `translate(${kept[0]} ${kept[1]}) rotate(${kept[2]})`);
  }

  function grab(event) {
    const rule = event.target.closest(".measured .rule");
    if (!rule) return;
    event.preventDefault();
    rule.focus({ preventScroll: true });
    const frame = rule.ownerSVGElement.getScreenCTM();
    held = { rule, frame, id: event.pointerId, x: event.clientX, y: event.clientY, from: at(rule),
      turning: Boolean(event.target.closest(".rule-turn")), first: null };
    if (held.turning) held.first = angle(event);
  }

  function angle(event) {
    const [x, y] = held.from;
    const [across, down] = [event.clientX - held.frame.e, event.clientY - held.frame.f];
    return Math.atan2(down / held.frame.d - y, across / held.frame.a - x);
  }

  function move(event) {
    if (!held || event.pointerId !== held.id) return;
    const { rule, frame, from: [x, y, turn] } = held;
    if (held.turning) put(rule, x, y, turn + ((angle(event) - held.first) * 180) / Math.PI);
    else put(rule, x + (event.clientX - held.x) / frame.a, y + (event.clientY - held.y) / frame.d, turn);
  }

  function letGo(event) {
    if (held && event.pointerId === held.id) held = null;
  }

  function key(event) {
    const rule = event.target.closest && event.target.closest(".measured .rule");
    const turn = { PageUp: -TURN, PageDown: TURN }[event.key];
    const way = MOVES[event.key];
    if (!rule || !(turn || way) || event.ctrlKey || event.altKey || event.metaKey) return;
    event.preventDefault();
    const [x, y, now] = at(rule);
    const far = event.shiftKey ? FAR : 1;
    if (turn) put(rule, x, y, now + turn * far);
    else put(rule, x + way[0] * far, y + way[1] * far, now);
  }

  document.addEventListener("pointerdown", grab);
  document.addEventListener("pointermove", move);
  document.addEventListener("pointerup", letGo);
  document.addEventListener("pointercancel", letGo);
  document.addEventListener("keydown", key);
})();
