/* The class that the reader is in, on every page, as `Guide.ofClass`: the line above the title, and a class file that
   lies beside the guide. At start it reads one key. What the file holds and how it compares, Python says; the class's
   page (class-yours.js) shows it. Document event `guide-class`: another class from now on, or none. */
(function () {
  "use strict";
  const { make, numbers, say } = Guide;

  /* What each page needs of it, as Python made it; the whole file; what the reader left or took over. */
  const KEY = "guide.class";
  const FILE = "guide.class.file";
  const LEFT = "guide.class.left";
  const TAKEN = "guide.class.taken";
  const LOOKED = "guide.class.looked";
  const ROOT = new URL("../", document.currentScript.src).href;
  const IN_ADDRESS = "#class=";
  const session = Guide.storage("sessionStorage");

  function parsed(text) {
    try {
      const found = JSON.parse(text);
      return found && typeof found === "object" ? found : null;
    } catch {
      return null;
    }
  }

  const get = () => parsed(numbers.get(KEY) || "");
  const text = () => numbers.get(FILE) || "";

  function tell() {
    document.dispatchEvent(new CustomEvent("guide-class"));
  }

  /* Be in this class: its file, and what Python made of it. "" or why the browser keeps it for this visit alone. */
  function keep(mine, file) {
    const both = [[FILE, file], [KEY, JSON.stringify(mine)]];
    const troubles = both.map(([name, value]) => {
      numbers.set(name, value);
      return numbers.trouble;
    });
    const trouble = troubles.find(Boolean) || "";
    /* The next visit finds both or none: one of them would stand there alone, or beside the class before. */
    if (trouble) for (const [name, value] of both) numbers.hold(name, value);
    numbers.remove(LEFT);
    tell();
    return trouble;
  }

  /* Forgets the class and nothing else. A file beside the guide does not bring it back by itself. */
  function leave() {
    const { id } = get() || {};
    for (const key of [KEY, FILE, TAKEN]) numbers.remove(key);
    if (id) numbers.set(LEFT, id);
    tell();
  }

  /* Which questions of the shop are practiced: "" for none. */
  function key() {
    const mine = get();
    return mine && mine.questions ? `${mine.id} ${mine.changed}` : "";
  }

  /* --- a class file beside the guide --------------------------------------------------- */

  /* Its text, or "". A folder lets no file be read, but a script: `class.js` hands the class over by this. */
  let handed = "";
  Guide.classFile = (data) => { handed = JSON.stringify(data); };

  async function beside() {
    try {
      if (location.protocol !== "file:") {
        const answer = await fetch(`${ROOT}class.json`, { cache: "no-cache" });
        return answer.ok ? (await answer.text()).trim().replace(/^null$/, "") : "";
      }
      await new Promise((resolve) => {
        const script = make("script", { src: `${ROOT}class.js` });
        script.onload = resolve;
        script.onerror = resolve;
        document.head.append(script);
      });
      return handed;
    } catch {
      return "";
    }
  }

  /* On the first page, once a visit: the file beside the guide is taken where the reader is in no class, or in an older
     form of this one. Another class is told; its page asks. */
  async function look() {
    if (!document.querySelector("[data-class-start]") || session.get(LOOKED) || location.hash.startsWith(IN_ADDRESS)) {
      return;
    }
    session.set(LOOKED, "1");
    const file = await beside();
    if (!file) return;
    const { id, changed } = parsed(file) || {};
    const mine = get();
    if (mine && mine.id === id && mine.changed === changed) return;
    if (!mine && id && id === numbers.get(LEFT)) return;
    const answer = await GuideEngine.call({ do: "class-open", text: file, kept: get() });
    if (answer.refused) show(`The class file beside this guide cannot be used. ${answer.refused}`);
    else if (answer.relation === "new" || answer.relation === "newer") keep(answer.mine, answer.text);
    else if (answer.relation === "other") {
      show(`${get().line}. Beside this guide lies another class: ${answer.mine.name}`);
    }
  }

  /* --- the line -------------------------------------------------------------------------- */

  function show(words) {
    const mine = get();
    for (const line of document.querySelectorAll("[data-class-line]")) {
      const told = words || (mine ? mine.line : "");
      say(line, told);
      line.parentElement.hidden = !told;
    }
  }

  document.addEventListener("guide-class", () => show());
  window.addEventListener("storage", (event) => {
    if (event.key === KEY || event.key === null) tell();
  });
  /* A link of a class opens on the first page: the address is short, and it is what people know. True where it leads on
     to the page of the class. */
  function followLink() {
    if (!location.hash.startsWith(IN_ADDRESS) || document.querySelector("[data-class-yours]")) return false;
    location.replace(`${ROOT}class.html${location.hash}`);
    return true;
  }

  /* Pasted where the page is open already, it changes no more than the end of the address. */
  window.addEventListener("hashchange", followLink);
  Guide.onPage(() => {
    if (followLink()) return;
    show();
    look();
  });

  Guide.ofClass = { get, text, keep, leave, key, beside, IN_ADDRESS, TAKEN };
})();
