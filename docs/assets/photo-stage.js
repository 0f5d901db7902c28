/* The picture with its marks: zoom, handles, loupe. It knows pixels and no sizes. A handle lies beside its mark, so
   that the finger covers neither the mark nor the next handle. */
(function () {
  "use strict";
  const { make } = Guide;

  const EDGE = 24;
  const HANDLE = 64;
  const AWAY = 58;
  const LOUPE = 144;
  const STEP = 1.4;
  const MOST = 8;
  /* Pixels of the screen a millisecond. */
  const [SLOW, FAST] = [0.04, 0.3];

  const bounded = (value, low, high) => Math.min(high, Math.max(low, value));

  class Stage {
    /* `moved(marks, done, mark)` is told of every move of a mark; done: the finger was lifted, or a key pressed. */
    constructor(moved) {
      this.moved = moved;
      this.zoom = 1;
      this.marks = [];
      this.picture = make("img", { alt: "The picture that you measure on", draggable: "false" });
      this.lines = document.createElementNS("http://www.w3.org/2000/svg", "svg");
      this.lines.setAttribute("aria-hidden", "true");
      this.sheet = make("div", { class: "photo-sheet" }, this.picture, this.lines);
      const group = { role: "group", "aria-label": "Picture with its marks" };
      this.window = make("div", { class: "photo-window", ...group }, this.sheet);
      const unseen = { "aria-hidden": "true", hidden: "" };
      this.loupe = make("canvas", { class: "photo-loupe", width: LOUPE, height: LOUPE, ...unseen });
      this.told = Guide.status({ class: "visually-hidden" });
      this.element = make("div", { class: "photo-stage" }, this.window, this.loupe, this.told);
      this.window.addEventListener("touchstart", (event) => this.pinchStart(event), { passive: true });
      this.window.addEventListener("touchmove", (event) => this.pinch(event), { passive: false });
      new ResizeObserver(() => { if (this.whole) this.fit(); }).observe(this.window);
    }

    async show({ data, width, height }) {
      Object.assign(this, { width, height });
      this.picture.src = data;
      await this.picture.decode();
      this.fit();
    }

    /* -- zoom -- */

    get fitting() {
      return Math.max(0.02, (this.window.clientWidth - 2 * EDGE) / this.width);
    }

    fit() {
      this.whole = true;
      this.zoomTo(this.fitting);
      this.whole = true;
    }

    closer(way) {
      this.zoomTo(this.zoom * STEP ** way);
    }

    /* The place at (x, y) of the window stays where it is. */
    zoomTo(zoom, x = this.window.clientWidth / 2, y = this.window.clientHeight / 2) {
      if (!this.width) return;
      const before = this.zoom;
      this.whole = false;
      this.zoom = bounded(zoom, Math.min(this.fitting, 1), MOST);
      const [left, top] = [this.window.scrollLeft, this.window.scrollTop];
      this.draw();
      const share = this.zoom / before;
      this.window.scrollLeft = (left + x - EDGE) * share - x + EDGE;
      this.window.scrollTop = (top + y - EDGE) * share - y + EDGE;
    }

    pinchStart(event) {
      if (event.touches.length === 2) this.pinched = { ...this.span(event), zoom: this.zoom };
    }

    pinch(event) {
      if (event.touches.length !== 2 || !this.pinched) return;
      event.preventDefault();
      const { apart, x, y } = this.span(event);
      this.zoomTo(this.pinched.zoom * apart / this.pinched.apart, x, y);
    }

    span({ touches: [one, other] }) {
      const { left, top } = this.window.getBoundingClientRect();
      return {
        apart: Math.hypot(one.clientX - other.clientX, one.clientY - other.clientY) || 1,
        x: (one.clientX + other.clientX) / 2 - left, y: (one.clientY + other.clientY) / 2 - top,
      };
    }

    /* -- marks -- */

    /* Marks: [{list, x, y, name, short}]. The handles stay while their number does, and with them the focus. */
    setMarks(marks) {
      if (marks.length !== this.marks.length) {
        for (const { handle } of this.marks) handle.remove();
        this.marks = marks.map((mark) => ({ ...mark, handle: this.handleOf() }));
        this.marks.forEach((mark) => this.serve(mark));
        this.sheet.append(...this.marks.map(({ handle }) => handle));
      } else {
        marks.forEach((mark, index) => Object.assign(this.marks[index], mark));
      }
      this.draw();
    }

    /* Pixels of the picture for each pixel that a finger moves. A fast one takes the mark along; a slow one moves it by
       what the loupe shows, so that a thumb sets it to the pixel on a small screen. */
    share(speed) {
      const [slow, fast] = [1 / Math.max(this.power, this.zoom), 1 / this.zoom];
      return slow + (fast - slow) * bounded((speed - SLOW) / (FAST - SLOW), 0, 1);
    }

    get power() {
      return Math.max(4, 2 * this.zoom);
    }

    handleOf() {
      return make("button", { type: "button", class: "photo-handle" });
    }

    draw() {
      if (!this.width) return;
      const [wide, high] = [this.width * this.zoom, this.height * this.zoom];
      Object.assign(this.sheet.style, { width: `${wide + 2 * EDGE}px`, height: `${high + 2 * EDGE}px` });
      for (const layer of [this.picture, this.lines]) {
        Object.assign(layer.style, { left: `${EDGE}px`, top: `${EDGE}px`, width: `${wide}px`, height: `${high}px` });
      }
      this.lines.setAttribute("viewBox", `0 0 ${wide} ${high}`);
      const drawn = GuidePhoto.shapes(this.marks, this.zoom)
        .map((points, index) => this.line(points, `photo-line-${index}`));
      for (const mark of this.marks) drawn.push(...this.place(mark, wide, high));
      this.lines.replaceChildren(...drawn);
    }

    /* Puts a handle beside its mark, away from the others of its list; returns the cross and the stem. */
    place(mark, wide, high) {
      const [x, y] = [mark.x * this.zoom, mark.y * this.zoom];
      /* The way of a mark at hand stays: its handle keeps under the finger. */
      const held = this.held && this.held.mark === mark;
      let [right, down] = (held && mark.way) || GuidePhoto.away(mark, this.marks);
      const reach = (HANDLE / 2) - EDGE;
      if (x + right * AWAY < reach || x + right * AWAY > wide - reach) right = -right;
      if (y + down * AWAY < reach || y + down * AWAY > high - reach) down = -down;
      mark.way = [right, down];
      const [at, under] = [x + right * AWAY, y + down * AWAY];
      Object.assign(mark.handle.style, { left: `${at + EDGE}px`, top: `${under + EDGE}px` });
      mark.handle.textContent = mark.short;
      mark.handle.classList.toggle("photo-of-reference", mark.list !== "marks");
      mark.handle.setAttribute("aria-label",
        `${mark.short}, ${mark.name}: ${mark.x} from the left, ${mark.y} from the top. Arrow keys move it.`);
      const arm = 9;
      return [
        this.line([[at, under], [x, y]], "photo-stem"),
        this.line([[x - arm, y], [x + arm, y]], "photo-cross"), this.line([[x, y - arm], [x, y + arm]], "photo-cross"),
      ];
    }

    /* Each line twice: light in dark shows on any picture. */
    line(points, look) {
      const group = document.createElementNS("http://www.w3.org/2000/svg", "g");
      group.setAttribute("class", look);
      for (const part of ["photo-under", "photo-over"]) {
        const line = document.createElementNS("http://www.w3.org/2000/svg", "polyline");
        line.setAttribute("points", points.map((point) => point.join()).join(" "));
        line.setAttribute("class", part);
        group.append(line);
      }
      return group;
    }

    serve(mark) {
      const { handle } = mark;
      handle.addEventListener("pointerdown", (event) => {
        if (this.held) return;
        event.preventDefault();
        handle.focus({ preventScroll: true });
        handle.setPointerCapture(event.pointerId);
        const { pointerId: pointer, clientX: left, clientY: top, timeStamp: at } = event;
        this.held = { mark, pointer, x: mark.x, y: mark.y, left, top, at };
        this.look(mark);
      });
      handle.addEventListener("pointermove", (event) => {
        const { held } = this;
        if (!held || held.pointer !== event.pointerId) return;
        const [dx, dy] = [event.clientX - held.left, event.clientY - held.top];
        const share = this.share(Math.hypot(dx, dy) / Math.max(1, event.timeStamp - held.at));
        held.x = bounded(held.x + dx * share, 0, this.width);
        held.y = bounded(held.y + dy * share, 0, this.height);
        Object.assign(held, { left: event.clientX, top: event.clientY, at: event.timeStamp });
        this.put(mark, held.x, held.y, false);
      });
      const let_go = (event) => {
        if (!this.held || this.held.pointer !== event.pointerId) return;
        this.held = null;
        this.loupe.hidden = true;
        this.moved(this.marks, true, mark);
      };
      handle.addEventListener("pointerup", let_go);
      handle.addEventListener("pointercancel", let_go);
      handle.addEventListener("blur", () => { this.loupe.hidden = true; });
      handle.addEventListener("keydown", (event) => {
        const way = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] }[event.key];
        if (!way) return;
        event.preventDefault();
        const far = event.shiftKey ? 10 : 1;
        this.put(mark, mark.x + way[0] * far, mark.y + way[1] * far, true);
        Guide.say(this.told, `${mark.short}: ${mark.x}, ${mark.y}`);
      });
    }

    put(mark, x, y, done) {
      mark.x = Math.round(bounded(x, 0, this.width) * 10) / 10;
      mark.y = Math.round(bounded(y, 0, this.height) * 10) / 10;
      this.draw();
      this.look(mark);
      this.moved(this.marks, done, mark);
    }

    /* The loupe shows the mark's place, beside the finger: over the handle, or under it near the top. */
    look(mark) {
      const pen = this.loupe.getContext("2d");
      const seen = LOUPE / this.power;
      pen.imageSmoothingEnabled = false;
      pen.fillStyle = "#808080";
      pen.fillRect(0, 0, LOUPE, LOUPE);
      pen.drawImage(this.picture, mark.x - seen / 2, mark.y - seen / 2, seen, seen, 0, 0, LOUPE, LOUPE);
      for (const [color, wide] of [["#000", 3], ["#fff", 1]]) {
        Object.assign(pen, { strokeStyle: color, lineWidth: wide });
        pen.beginPath();
        for (const [from, to] of [[0, LOUPE * 0.42], [LOUPE * 0.58, LOUPE]]) {
          pen.moveTo(from, LOUPE / 2);
          pen.lineTo(to, LOUPE / 2);
          pen.moveTo(LOUPE / 2, from);
          pen.lineTo(LOUPE / 2, to);
        }
        pen.stroke();
      }
      this.loupe.hidden = false;
      const [own, grip] = [this.element.getBoundingClientRect(), mark.handle.getBoundingClientRect()];
      const over = grip.top - own.top - LOUPE - 16;
      const top = over < 0 ? grip.bottom - own.top + 16 : over;
      const left = bounded(grip.left + HANDLE / 2 - own.left - LOUPE / 2, 0, own.width - LOUPE);
      Object.assign(this.loupe.style, { left: `${left}px`, top: `${bounded(top, 0, own.height - LOUPE)}px` });
    }
  }

  /* Which lines join the marks: the reference closed where it is a frame, the others two by two where they are a pair
     of lines. */
  function shapes(marks, zoom) {
    const at = ({ x, y }) => [x * zoom, y * zoom];
    const lists = ["reference_marks", "marks"].map((list) => marks.filter((mark) => mark.list === list).map(at));
    const [reference, own] = lists;
    const frame = reference.length > 2 ? [...reference, reference[0]] : reference;
    return [frame, ...(own.length === 4 ? [own.slice(0, 2), own.slice(2)] : [own])];
  }

  /* Away from the middle of its list, and from the line that it is not on. */
  function away(mark, marks) {
    const list = marks.filter((each) => each.list === mark.list);
    const middle = (axis, some) => some.reduce((sum, each) => sum + each[axis], 0) / some.length;
    const unit = (x, y) => { const long = Math.hypot(x, y); return long ? [x / long, y / long] : [0, 1]; };
    const pair = mark.list === "marks" && list.length === 4;
    const near = pair ? (list.indexOf(mark) < 2 ? list.slice(0, 2) : list.slice(2)) : list;
    const [x, y] = unit(mark.x - middle("x", near), mark.y - middle("y", near));
    if (!pair) return [x, y];
    const side = (middle("x", near) - middle("x", list)) * -y + (middle("y", near) - middle("y", list)) * x;
    const turn = side < 0 ? -1 : 1;
    return unit(x - turn * y, y + turn * x);
  }

  window.GuidePhoto = { Stage, shapes, away };
})();
