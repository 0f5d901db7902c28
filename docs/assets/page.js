/* What every page has beside its forms: the switch of units, folds that open for a link into them, and whether the
   guide is kept for use without a network. */
(function () {
  "use strict";
  const { make, plainButton } = Guide;

  /* --- units ---------------------------------------------------------------- */

  async function switchUnits(value) {
    await Promise.all(Guide.forms().map((form) => form.writeUnitsOut()));
    Guide.keepUnits(value);
    checkUnits();
    for (const form of Guide.forms()) form.changed();
  }

  function checkUnits() {
    for (const input of document.querySelectorAll('.units input[name="units"]')) {
      input.checked = input.value === Guide.shownUnits();
    }
  }

  function mountUnits() {
    const title = document.querySelector(".md-header__inner .md-header__title");
    if (title && !document.querySelector(".md-header__inner .units")) {
      const legend = make("legend", { class: "visually-hidden" }, "Units of the answers");
      const group = make("fieldset", { class: "units" }, legend);
      for (const [value, words] of Guide.UNITS) {
        const input = make("input", { type: "radio", name: "units", value, id: `units-${value}` });
        input.addEventListener("change", () => switchUnits(value));
        group.append(input, make("label", { for: `units-${value}` }, words));
      }
      title.after(group);
    }
    checkUnits();
  }

  /* --- links into something folded --------------------------------------------- */

  /* "" where the address names none, or is damaged. */
  function placeInAddress() {
    try {
      return decodeURIComponent(location.hash.slice(1));
    } catch {
      return "";
    }
  }

  /* An old address leads on to the page where the place stands now, with the numbers that it carries. */
  function followMoved() {
    const named = placeInAddress().replace(/^show-/, "") || location.search.slice(1).split(".")[0];
    const here = document.getElementById(named);
    const link = here ? here.closest("[data-moved]")
      : [...document.querySelectorAll("[data-moved]")].find((each) => named.startsWith(`${each.id}-`));
    if (!link) return;
    const target = new URL(link.href);
    target.search = location.search;
    if (location.hash) target.hash = location.hash;
    location.replace(target);
  }

  function openTarget() {
    const target = document.getElementById(placeInAddress());
    if (!target) return;
    for (let fold = target.closest("details"); fold; fold = fold.parentElement.closest("details")) fold.open = true;
  }

  /* --- whether the guide is kept for use without a network ------------------------- */

  const OFFLINE = {
    unsupported: ({ reason }) => `Not saved here: ${reason}.`,
    caching: ({ done, total }) => (total ? `Saving: ${Math.floor((100 * done) / total)} %.` : "Saving the guide."),
    ready: ({ damaged, behind }) => {
      if (damaged) {
        return `Saved, but the kept file ${damaged} is damaged and was not used. `
          + "Connect to the network and open the guide again: it is then fetched again.";
      }
      const newer = behind && ` A newer version could not be saved: ${behind}. You go on with the one you have.`;
      return `Saved. You can use this guide without a network.${newer || ""}`;
    },
    "update-ready": () => "Saved, and a new version is ready.",
    off: () => "Not saved. You removed the copy.",
    failed: ({ reason }) =>
      `Not saved: ${reason}. The guide still works with the network. Try again here, or on your next visit.`,
  };

  function showOffline() {
    if (!window.GuideOffline) return;
    const { state, detail } = GuideOffline;
    for (const place of document.querySelectorAll("[data-offline-status]")) {
      const words = state in OFFLINE ? OFFLINE[state](detail) : "";
      place.replaceChildren(make("p", { role: "status" }, words));
      if (state === "ready" || state === "update-ready") {
        place.append(plainButton("Remove the saved copy", () => GuideOffline.off()));
      } else if (state === "off" || state === "failed") {
        place.append(plainButton("Save the guide in this browser", () => GuideOffline.on()));
      }
    }
  }

  /* What is kept is kept for one address: say for which. A folder is one to some browsers, all folders to others. */
  function showKeptAt() {
    const at = location.protocol === "file:" ? "the folder that this page lies in" : location.origin;
    for (const place of document.querySelectorAll("[data-kept-at]")) place.textContent = `You are now at ${at}.`;
  }

  document.addEventListener("guide-offline", showOffline);
  window.addEventListener("hashchange", () => {
    followMoved();
    openTarget();
  });
  Guide.onPage(() => {
    followMoved();
    mountUnits();
    showOffline();
    showKeptAt();
    openTarget();
  });
})();
