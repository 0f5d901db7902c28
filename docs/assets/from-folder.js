/* Runs before the theme's script. In pages opened from a folder the theme can't fetch the next page: with instant
   navigation switched on it then stops telling its own parts that the page is there, and the lists beside the text are
   never fitted. */
(function () {
  "use strict";
  if (location.protocol !== "file:") return;
  const element = document.getElementById("__config");
  const config = JSON.parse(element.textContent);
  config.features = config.features.filter((feature) => feature !== "navigation.instant");
  element.textContent = JSON.stringify(config);
})();
