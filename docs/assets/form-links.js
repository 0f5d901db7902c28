/* Links that carry numbers of a form, as `Guide.links`. A link means the same numbers for whoever opens it; opened, it
   touches neither what was kept nor the reader's own test. What an address holds is untrusted: Python reads it. */
(function () {
  "use strict";
  const { make, setAddress } = Guide;

  const KEPT_BY_SEARCH = new Set(["q", "h"]);

  /* What the address says of a form, by input. */
  function inAddress(place) {
    const found = {};
    for (const [name, text] of new URLSearchParams(location.search)) {
      if (name.startsWith(`${place}.`)) found[name.slice(place.length + 1)] = text;
    }
    return found;
  }

  /* The address carries numbers of a form no longer: opened again, the page shows the reader's own. */
  function leaveAddress(place) {
    const names = Object.keys(inAddress(place));
    if (!names.length) return;
    const link = new URL(location.href);
    for (const name of names) link.searchParams.delete(`${place}.${name}`);
    setAddress(link);
  }

  /* Every input that is not as printed, also where it is as in the test: who opens the link has another test. Where
     all are as printed, one of them says that these numbers are meant. */
  async function copy(form) {
    const answer = await form.request("link");
    if (!answer || !answer.inputs) {
      form.said.textContent = "The link needs the calculators, which could not start.";
      return;
    }
    const given = Object.entries(answer.inputs);
    const other = given.filter(([name, text]) => text !== form.printed[name]);
    const carried = other.length ? other : given.slice(0, 1);
    const link = new URL(location.href);
    link.search = new URLSearchParams(carried.map(([name, text]) => [`${form.place}.${name}`, text]));
    link.hash = form.place;
    setAddress(link);
    await Guide.copyLink(link.href, form.said, "Link copied. It holds the numbers you see.");
  }

  /* The numbers of a link, for a visit. */
  async function open(form, linked) {
    form.visiting = true;
    form.comes();
    const answer = await form.request("open", { inputs: linked, system: "us" });
    if (!form.visiting) return;
    if (!answer || !answer.inputs) {
      form.unanswered = () => open(form, linked);
      form.stale("The numbers of this link could not be read, since the calculators did not start. "
        + "The answer below is for the printed numbers.");
      return;
    }
    const usable = Object.keys(answer.inputs).length > 0;
    notUsed(form.section, Object.values(answer.refused), usable
      ? "Part of this link could not be used. The printed numbers are used in its place:"
      : "This link could not be used:");
    notUsed(form.section, Object.values(answer.renewed), "This link is from an earlier form:");
    if (usable) form.put(answer.inputs);
    else await form.openMine();
    /* The reader's own link, opened again. */
    if (form.isMine()) form.visiting = false;
    form.tell();
    await form.changed();
  }

  /* A list of what an address held that could not be used. Always as text. */
  function notUsed(before, lines, told) {
    if (!lines.length) return;
    const list = make("ul", {}, ...lines.map((line) => make("li", {}, line)));
    before.before(make("div", { class: "notice", "data-not-used": "" }, make("p", {}, told), list));
  }

  function reportStrays(forms) {
    const places = forms.map((form) => form.place);
    const strays = [...new URLSearchParams(location.search).keys()].filter(
      (name) => !KEPT_BY_SEARCH.has(name) && !places.includes(name.split(".")[0]),
    );
    const first = document.querySelector("[data-calculator]");
    const lines = strays.map((name) => `“${name.slice(0, 60)}” names no calculator of this page.`);
    if (first) notUsed(first, lines, "Part of this link could not be used:");
  }

  Guide.links = { inAddress, leaveAddress, copy, open, reportStrays };
})();
