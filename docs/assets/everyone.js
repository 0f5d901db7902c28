/* What the theme leaves to a pointer, for the keyboard and for screen readers: buttons that open the list of pages and
   the search on a narrow screen. */
(function () {
  "use strict";

  const NAMES = { __drawer: "Pages of the guide", __search: "Search" };
  const PLACES = { __drawer: ".md-sidebar--primary", __search: ".md-search" };

  const toggle = (id) => document.getElementById(id);
  const opener = (id) => document.querySelector(`[data-opens="${id}"]`);

  function set(id, open) {
    if (!toggle(id) || toggle(id).checked === open) return false;
    toggle(id).click();
    return true;
  }

  /* The theme has labels here, which no key reaches. The button takes the label's looks and place. */
  function addOpener(label) {
    const id = label.htmlFor;
    label.before(Guide.button("", () => set(id, !toggle(id).checked), {
      class: label.className, "data-opens": id, "aria-label": NAMES[id], "aria-expanded": String(toggle(id).checked),
    }));
    opener(id).append(...[...label.childNodes].map((each) => each.cloneNode(true)));
    label.hidden = true;
    toggle(id).addEventListener("change", () => follow(id));
  }

  /* The focus goes where the eye is: into the list that opened, back to the button of one that shut. */
  function follow(id) {
    const open = toggle(id).checked;
    opener(id).setAttribute("aria-expanded", String(open));
    const place = document.querySelector(PLACES[id]);
    const left = place.contains(document.activeElement) || document.activeElement === document.body;
    if (!opener(id).checkVisibility()) return;
    if (open) place.querySelector("a[href], input").focus();
    else if (left) opener(id).focus();
  }

  document.addEventListener("keydown", (event) => {
    if (event.key === "Escape" && set("__drawer", false)) opener("__drawer").focus();
    /* A folded part of the list is a checkbox; Enter does what Space does. */
    if (event.key === "Enter" && event.target.matches(".md-nav__toggle")) event.target.click();
  });
  /* Who tabs out of the list has left it: what has the focus must not lie under its veil. */
  document.addEventListener("focusin", (event) => {
    if (!event.target.closest(".md-sidebar--primary, [data-opens]")) set("__drawer", false);
  });

  Guide.onPage(() => {
    for (const id of Object.keys(NAMES)) {
      const label = document.querySelector(`.md-header label.md-header__button[for="${id}"]`);
      if (label && !opener(id)) addOpener(label);
    }
  });
})();
