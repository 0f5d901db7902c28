/* What the scripts of the page share, as `Guide`: when a page begins, making elements, telling words, what the browser
   keeps, files to save, the units. No formula, limit or table value stands in any script: what a field means, whether
   it can be used and what the answer is, Python says. */
(function () {
  "use strict";

  const BASE = new URL(".", document.currentScript.src).href;
  const UNITS_KEY = "guide.units";
  const UNITS = [["us", "US"], ["si", "SI"], ["both", "Both"]];

  /* --- the life of a page ------------------------------------------------------- */

  /* Calls `mount` for this page and for every page that the theme's instant navigation puts in its place; `mount` may
     meet parts that it knows. The theme announces each page; should its script fail, the page announces itself. */
  function onPage(mount) {
    if (window.document$) window.document$.subscribe(() => mount());
    if (document.readyState === "loading") document.addEventListener("DOMContentLoaded", () => mount());
    else mount();
  }

  /* Calls `mount` once for each element that the selector finds, on this page and on those to come. */
  function onEach(selector, mount) {
    const known = new WeakSet();
    onPage(() => {
      for (const found of document.querySelectorAll(selector)) {
        if (known.has(found)) continue;
        known.add(found);
        mount(found);
      }
    });
  }

  /* Listens at `target` for an element that instant navigation may take away: once it is gone, so is the listener. */
  function listenFor(element, target, name, act) {
    const listener = (event) => {
      if (element.isConnected) act(event);
      else target.removeEventListener(name, listener);
    };
    target.addEventListener(name, listener);
  }

  /* A library of assets/vendor, loaded when it is first wanted. */
  function library(name) {
    if (window[name]) return Promise.resolve(window[name]);
    return new Promise((resolve, reject) => {
      const script = make("script", { src: `${BASE}vendor/${name}.js` });
      script.onload = () => resolve(window[name]);
      script.onerror = () => reject(new Error(`the file vendor/${name}.js is missing`));
      document.head.append(script);
    });
  }

  /* --- elements and words --------------------------------------------------------- */

  function make(tag, attributes, ...children) {
    const made = document.createElement(tag);
    for (const [name, value] of Object.entries(attributes || {})) {
      if (name === "onclick") made.addEventListener("click", value);
      else if (value === true) made.setAttribute(name, "");
      else if (value !== false && value !== null) made.setAttribute(name, value);
    }
    made.append(...children);
    return made;
  }

  function button(words, onclick, attributes) {
    return make("button", { type: "button", onclick, ...attributes }, words);
  }

  /* The same in the guide's looks, outside the forms of calculators. */
  function plainButton(words, onclick, attributes) {
    return button(words, onclick, { class: "plain-button", ...attributes });
  }

  /* A place for what happened, told to screen readers too. */
  function status(attributes, tag = "p") {
    return make(tag, { class: "said", role: "status", ...attributes });
  }

  /* Words that stand there already are not told once more. */
  function say(place, words) {
    if (place.textContent !== words) place.textContent = words;
  }

  /* Makes what is shown like the fresh markup by changing only what differs: the browser then lays out and paints that
     alone. What the reader opened stays open. */
  function renew(shown, fresh) {
    if (shown.nodeName !== fresh.nodeName) return shown.replaceWith(fresh);
    if (!fresh.attributes) return say(shown, fresh.data);
    for (const { name } of [...shown.attributes]) {
      if (name !== "open" && !fresh.hasAttribute(name)) shown.removeAttribute(name);
    }
    for (const { name, value } of fresh.attributes) {
      if (shown.getAttribute(name) !== value) shown.setAttribute(name, value);
    }
    const [before, after] = [[...shown.childNodes], [...fresh.childNodes]];
    for (const extra of before.slice(after.length)) extra.remove();
    for (const [place, child] of after.entries()) {
      if (place < before.length) renew(before[place], child);
      else shown.append(child);
    }
    return undefined;
  }

  /* The same for what stands inside an element, from markup. */
  function renewInside(shown, html) {
    const fresh = shown.cloneNode();
    fresh.innerHTML = guideHTML(html);
    renew(shown, fresh);
  }

  function markInvalid(controls, bad) {
    for (const control of controls) {
      if (bad) control.setAttribute("aria-invalid", "true");
      else control.removeAttribute("aria-invalid");
    }
  }

  /* How far the engine's start is, as words; "" where nothing can be said. */
  function engineShare() {
    const { loaded = 0, total = 0 } = GuideEngine.progress || {};
    return total ? ` ${Math.min(99, Math.floor((100 * loaded) / total))} %` : "";
  }

  function today() {
    const now = new Date();
    const parts = [now.getFullYear(), now.getMonth() + 1, now.getDate()];
    return parts.map((part) => String(part).padStart(2, "0")).join("-");
  }

  /* --- rows of a form, and the buttons in it that Python printed ---------------------- */

  const CONTROLS = "input, select";

  function addRow(rows, number) {
    const template = rows.querySelector("template");
    const row = template.content.firstElementChild.cloneNode(true);
    for (const marked of row.querySelectorAll("*")) {
      for (const { name, value } of [...marked.attributes]) {
        if (value.includes("NUMBER")) marked.setAttribute(name, value.replaceAll("NUMBER", number));
      }
    }
    template.before(row);
    return row;
  }

  /* A usual value put in, a row added or taken away. True where the form holds something else than before. `remove`
     gives back what puts the row in again: one tap must not lose what stood in it. */
  function pressed(event, add, remove) {
    const button = event.target.closest("button");
    if (!button) return false;
    const rows = button.closest("[data-rows]");
    if (button.dataset.fill !== undefined) {
      button.closest("[data-field]").querySelector(CONTROLS).value = button.dataset.fill;
    } else if (button.hasAttribute("data-add-row")) {
      if (rows.querySelectorAll("[data-row]").length >= Number(rows.dataset.most)) return false;
      add(rows).querySelector(CONTROLS).focus();
    } else if (button.hasAttribute("data-remove-row")) {
      if (rows.querySelectorAll("[data-row]").length <= Number(rows.dataset.fewest || 0)) return false;
      const row = button.closest("[data-row]");
      const filled = [...row.querySelectorAll(CONTROLS)].some((control) => control.value);
      offerBack(rows, remove(rows, row), filled);
    } else if (button.hasAttribute("data-back-row")) {
      putBack.get(button)();
      button.remove();
    } else {
      return false;
    }
    return true;
  }

  const putBack = new WeakMap();

  /* A button that puts the last removed row in again. */
  function offerBack(rows, back, filled) {
    const before = rows.querySelector("[data-back-row]");
    if (before) before.remove();
    if (!filled) return;
    const made = make("button", { type: "button", class: "add-row", "data-back-row": "" }, "Undo: put the row back");
    putBack.set(made, back);
    rows.append(made);
  }

  /* --- what the browser keeps --------------------------------------------------------- */

  /* Not every browser gives it the standard's name. */
  function isFull(error) {
    return Boolean(error) && (error.name === "QuotaExceededError" || /quota/i.test(String(error.message)));
  }

  /* A storage of the browser, which may be closed to us (private windows, folders) or full. `get` gives undefined where
     it is closed and null where nothing is kept. `set` gives "" where it kept the text; else "full" or "closed". */
  function storage(name) {
    return {
      get(key) {
        try { return window[name].getItem(key); } catch { return undefined; }
      },
      set(key, text) {
        try { window[name].setItem(key, text); } catch (error) { return isFull(error) ? "full" : "closed"; }
        return "";
      },
      remove(key) {
        try { window[name].removeItem(key); } catch { /* it was never there */ }
      },
      keys() {
        try { return Object.keys(window[name]); } catch { return []; }
      },
    };
  }

  const local = storage("localStorage");

  /* The same for numbers and units: what can't be kept holds for this visit, and `trouble` says so. */
  const visit = new Map();
  const numbers = {
    trouble: "",
    get(key) {
      return visit.has(key) ? visit.get(key) : local.get(key);
    },
    set(key, text) {
      const lost = local.set(key, text);
      if (lost) visit.set(key, text);
      else visit.delete(key);
      const why = lost === "full" ? "has no room left" : "keeps nothing for this page";
      this.trouble = lost
        && `This browser ${why}: your numbers last until you close the page. Copy the link to keep them.`;
    },
    remove(key) {
      visit.delete(key);
      local.remove(key);
    },
    /* For this visit alone; what the browser kept of it goes. */
    hold(key, text) {
      visit.set(key, text);
      local.remove(key);
    },
  };

  /* --- files to save -------------------------------------------------------------------- */

  function download(name, content, type = "application/json") {
    const link = make("a", { href: URL.createObjectURL(new Blob([content], { type })), download: name });
    document.body.append(link);
    link.click();
    link.remove();
    setTimeout(() => URL.revokeObjectURL(link.href), 60000);
  }

  /* The bytes of a file as a request can carry them: Python reads every file, and says what is wrong with it. */
  function base64(bytes) {
    let text = "";
    for (let at = 0; at < bytes.length; at += 0x8000) {
      text += String.fromCharCode(...bytes.subarray(at, at + 0x8000));
    }
    return btoa(text);
  }

  async function bytesOf(file) {
    return base64(new Uint8Array(await file.arrayBuffer()));
  }

  /* --- links to pass on ---------------------------------------------------------------------- */

  /* Another address for the page as it stands. A page opened from a folder may not change its own: false. */
  function setAddress(link) {
    try { history.replaceState(history.state, "", link); } catch { return false; }
    return true;
  }

  /* Whether an address of this page leads nowhere on another device. */
  function onlyHere() {
    return location.protocol === "file:" || ["localhost", "127.0.0.1", "[::1]"].includes(location.hostname);
  }

  /* Puts a link where it can be pasted from, and says so at `said`; where the browser refuses that, it stands there. */
  async function copyLink(link, said, words) {
    const reach = onlyHere() ? " It works on this device only: the guide is open from this device." : "";
    try {
      await navigator.clipboard.writeText(link);
      said.textContent = words + reach;
    } catch {
      const shown = make("input", { type: "text", readonly: "", "aria-label": "Link with your numbers", value: link });
      said.replaceChildren("Copy this link: ", shown, reach);
      shown.focus();
      shown.select();
    }
  }

  /* --- units ------------------------------------------------------------------------------ */

  function shownUnits() {
    const kept = numbers.get(UNITS_KEY);
    return UNITS.some(([value]) => value === kept) ? kept : "us";
  }

  /* The system that a bare number is read in. */
  function system() {
    return shownUnits() === "si" ? "si" : "us";
  }

  function keepUnits(value) {
    numbers.set(UNITS_KEY, value);
    document.documentElement.dataset.units = value;
  }

  document.documentElement.dataset.units = shownUnits();

  window.Guide = {
    onPage, onEach, listenFor, library, make, button, plainButton, status, say, renew, renewInside, markInvalid,
    engineShare, today, addRow, pressed, isFull, storage, local, numbers, download, base64, bytesOf, setAddress,
    onlyHere, copyLink, UNITS, shownUnits, system, keepUnits,
  };
})();
