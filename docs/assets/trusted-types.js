/* Trusted Types: what a served page may turn into markup or load as a script. Loaded before every other script, because
   a policy that exists can't be made again: the header (tools/build/policy.py) names these two and no more.

   guideHTML(html)  for HTML that calc made: given back as it is, refused with a TypeError when it holds anything that
                    runs.
   "default"        for the theme, which hands plain strings to the browser and can't be told otherwise.

   What the default policy gives away: every string that any script assigns without guideHTML goes through it, so it
   can't tell the theme from other code. What it lets through is therefore harmless by itself:
   - markup: only the tags that the search writes (<mark>, <p>, <code>, <h1> and the like), with no attribute but a
     class. Every other "<" becomes text.
   - a page fetched by the theme's change of pages: the guide's own, checked like calc's HTML. What a parsed page may
     load or run is up to script-src.
   - script addresses: only .js and .mjs below this guide's own folder.
   - script text: none.
   Browsers without Trusted Types, and pages opened from a folder (no header), have guideHTML's check alone. */
(function () {
  "use strict";
  if (window.guideHTML) return; /* the theme's change of pages may run this script again */

  const ROOT = new URL("../", document.currentScript.src);
  const RUNS = "script, iframe, frame, object, embed, base, meta, link, style";
  const ADDRESSES = ["href", "src", "xlink:href", "action", "formaction", "data", "to", "from", "values", "srcdoc"];
  const TAGS = "mark|p|br|ul|ol|li|code|pre|em|strong|b|i|del|sub|sup|span|small|div|nav|h[1-6]";
  const HARMLESS = new RegExp(`<(/?(?:${TAGS})(?: class="[\\w -]*")?>)?`, "g");

  /* Whatever `danger` refuses has to hold one of these in its text: names of tags and attributes can't be written as
     entities, and an address that hides its scheme needs an entity (&#x27; is the escaped apostrophe) or white space.
     Text without any is not parsed a second time: answers come at every key press. */
  const SUSPECT = new RegExp([
    /<(?:script|i?frame|object|embed|base|meta|link|style)/, /[\s\/"']on[a-z]+\s*=/, /s\s*c\s*r\s*i\s*p\s*t\s*:/,
    /t\s*e\s*x\s*t\s*\//, /&#(?!x27;)|&(?:tab|newline|colon);/,
  ].map((part) => part.source).join("|"), "i");
  const RUNS_AT = /^(javascript|vbscript|data:text)/i;

  let reading = false; /* true only while `holds` parses text that it has yet to judge */

  /* Why this markup must not come into a page, or "". A template's content is inert: nothing in it loads or runs. */
  function danger(nodes, allowed) {
    for (const each of nodes) {
      if (each.matches(RUNS) && !allowed(each)) return `<${each.localName}>`;
      for (const { name, value } of each.attributes) {
        if (/^on/i.test(name)) return `${each.localName} ${name}`;
        /* Browsers skip control characters and white space within the scheme. */
        const address = ADDRESSES.includes(name.toLowerCase()) ? value.replace(/[\u0000- ]+/g, "") : "";
        if (RUNS_AT.test(address)) return `${each.localName} ${name}=${value.slice(0, 20)}`;
      }
      if (each.localName === "template") {
        const inside = danger(each.content.querySelectorAll("*"), allowed);
        if (inside) return inside;
      }
    }
    return "";
  }

  function checked(html) {
    if (reading || !SUSPECT.test(html)) return html;
    const holder = document.createElement("template");
    reading = true;
    try {
      holder.innerHTML = made.createHTML(html);
    } finally {
      reading = false;
    }
    const found = danger(holder.content.querySelectorAll("*"), () => false);
    if (found) throw new TypeError("This markup is not the guide's own and was refused: " + found);
    return html;
  }

  /* A whole page as the build wrote it: scripts by address, data blocks, links and meta are part of it. */
  function checkedPage(html) {
    reading = true;
    let page;
    try {
      page = new DOMParser().parseFromString(made.createHTML(html), "text/html");
    } finally {
      reading = false;
    }
    const found = danger(page.querySelectorAll("*"), (each) => {
      switch (each.localName) {
        case "script":
          if (!each.hasAttribute("src")) return each.type === "application/json";
          return allowedScript(each.getAttribute("src"), ROOT);
        case "link": case "iframe": return true; /* where they may lead is up to the header */
        case "meta": return !each.hasAttribute("http-equiv");
        default: return false;
      }
    });
    if (found) throw new TypeError("This page is not the guide's own and was refused: " + found);
    return html;
  }

  function allowedScript(address, base) {
    const url = new URL(address, base);
    const own = url.origin === ROOT.origin && url.protocol === ROOT.protocol && url.pathname.startsWith(ROOT.pathname);
    return own && /\.m?js$/.test(url.pathname);
  }

  function harmlessTagsOnly(text) {
    return text.replace(HARMLESS, (all, tag) => (tag ? all : "&lt;"));
  }

  const plain = { createHTML: checked };
  const types = window.trustedTypes;
  const made = types ? types.createPolicy("guide", plain) : plain;
  window.guideHTML = (html) => made.createHTML(html);

  if (types) {
    types.createPolicy("default", {
      createHTML(text, _, sink) {
        return sink === "DOMParser parseFromString" ? checkedPage(text) : harmlessTagsOnly(text);
      },
      createScriptURL(address) {
        return allowedScript(address, document.baseURI) ? address : null;
      },
    });
  }
})();
