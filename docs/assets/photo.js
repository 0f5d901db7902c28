/* Measure on a photo: the one script of it that every page loads. What does the work is fetched where the calculator
   stands. */
(function () {
  "use strict";
  if (!window.GuideEngine) return;

  const BASE = new URL(".", document.currentScript.src).href;
  const PARTS = ["photo-stage.js", "photo-desk.js"];
  const loaded = new Map();

  function load(name) {
    if (!loaded.has(name)) {
      loaded.set(name, new Promise((resolve, reject) => {
        const script = Guide.make("script", { src: `${BASE}${name}` });
        script.onload = resolve;
        script.onerror = () => reject(new Error(`the file ${name} is missing`));
        document.head.append(script);
      }));
    }
    return loaded.get(name);
  }

  Guide.onEach('[data-calculator="photo-measure"]', async (section) => {
    for (const name of PARTS) await load(name);
    if (section.isConnected) GuidePhoto.open(section);
  });
})();
