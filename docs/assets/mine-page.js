/* The reader's own test on a page, outside its forms: the line above the title, and the figures in sentences
   (`[mine: …]`) that the test says or gives. Without a test, and for a fact that it leaves blank, stands what was
   printed; a figure that could not be worked out for it says so. */
(function () {
  "use strict";
  const { make, say } = Guide;
  const printed = new WeakMap();

  function asPrinted(place) {
    if (!printed.has(place)) printed.set(place, place.innerHTML);
    return printed.get(place);
  }

  /* The HTML of a figure of the test; null where the printed one stands. */
  function ownFigure(mine, name) {
    if (!mine) return null;
    const own = mine.prose[name];
    if (typeof own === "string") return own;
    return name.includes(".") ? "(not worked out for your test)" : null;
  }

  function show() {
    const mine = Guide.mine.get();
    for (const line of document.querySelectorAll("[data-mine-line]")) {
      const before = asPrinted(line);
      say(line, mine ? `Your test: ${mine.line || mine.name}` : before);
    }
    for (const place of document.querySelectorAll("[data-mine]")) {
      const before = asPrinted(place);
      const own = ownFigure(mine, place.dataset.mine);
      if (own === null && !place.classList.contains("yours")) continue;
      place.classList.toggle("yours", own !== null);
      place.innerHTML = guideHTML(own === null ? before : own);
      if (own !== null) place.append(make("span", { class: "visually-hidden" }, ", from your test"));
    }
  }

  document.addEventListener("guide-mine", show);
  Guide.onPage(show);
})();
