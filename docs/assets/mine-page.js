/* The reader's own test on a page, outside its forms: the line above the title, and the figures in sentences
   (`[mine: …]`) that the test says or gives. Without a test stands what was printed. */
(function () {
  "use strict";
  const { make, say } = Guide;
  const printed = new WeakMap();

  function asPrinted(place) {
    if (!printed.has(place)) printed.set(place, place.innerHTML);
    return printed.get(place);
  }

  function show() {
    const mine = Guide.mine.get();
    for (const line of document.querySelectorAll("[data-mine-line]")) {
      say(line, mine ? `Your test: ${mine.line || mine.name}` : asPrinted(line));
    }
    for (const place of document.querySelectorAll("[data-mine]")) {
      const before = asPrinted(place);
      const own = mine && mine.prose[place.dataset.mine];
      const isOwn = typeof own === "string";
      if (!isOwn && !place.classList.contains("yours")) continue;
      place.classList.toggle("yours", isOwn);
      place.innerHTML = guideHTML(isOwn ? own : before);
      if (isOwn) place.append(make("span", { class: "visually-hidden" }, ", from your test"));
    }
  }

  document.addEventListener("guide-mine", show);
  Guide.onPage(show);
})();
