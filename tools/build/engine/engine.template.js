/* Starts the calculator engine for a page and passes requests to it. Classic script: it must also run in a page that
   was opened from a folder. It holds no formula and no text of an answer.

   GuideEngine.start()    -> Promise<boolean>, true when ready, false when the engine could not start
   GuideEngine.call(req)  -> Promise<object>, the answer; never rejects. When the engine gives none, the object is
                             {ok: false, engine: "failed" | "cancelled" | "error", reason: plain words, detail}
   GuideEngine.cancel()   ends the worker and every call under way; the next call starts a new one
   GuideEngine.retry()    starts again after a failure
   GuideEngine.state, .progress, .reason, .detail
   Events on document: "guide-engine" at every change, "guide-engine-progress" with what Python reports in a long
                       call */
(function () {
  "use strict";
  if (window.GuideEngine) return; /* instant navigation may run this script again: keep the engine that lives */

  const PARTS = /*PARTS*/ null;
  const BASE = new URL(".", document.currentScript.src).href;
  const FROM_FOLDER = location.protocol === "file:";
  /* No byte and no step for so long means that nothing more will come. */
  const STALL_MS = 60000;
  /* A worker made from a Blob speaks at once or was refused without a word. */
  const SILENT_MS = 6000;

  const NOT_STARTED = ["The live calculators could not start: ", ". The printed answers on this page still hold."];
  const STOPPED = ["The live calculators stopped: ", ". What you typed is kept. Answers that stand on this page still "
    + "hold for the numbers they were worked out from."];

  const pending = new Map();
  let nextId = 1;
  let port = null;
  let starting = null;
  let settle = null;
  let stallTimer = 0;
  let silenceTimer = 0;
  let again = false; /* after a failure nothing that the browser kept is trusted */

  const engine = {
    state: "idle",
    progress: { loaded: 0, total: PARTS.total, step: "" },
    reason: "",
    detail: "",
    start, call, cancel, retry,
  };

  function announce() {
    const { state, progress, reason } = engine;
    document.dispatchEvent(new CustomEvent("guide-engine", { detail: { state, progress, reason } }));
  }

  function flush(answer) {
    const waiting = Array.from(pending.values());
    pending.clear();
    waiting.forEach((resolve) => resolve(Object.assign({ ok: false }, answer)));
  }

  function watchForStall() {
    clearTimeout(stallTimer);
    stallTimer = setTimeout(() => fail("it stopped while: " + engine.progress.step), STALL_MS);
  }

  /* The same for an engine that was asked and says nothing any more. */
  function watchForSilence() {
    clearTimeout(silenceTimer);
    if (pending.size) silenceTimer = setTimeout(() => fail("no answer came for a minute", STOPPED), STALL_MS);
  }

  function close() {
    clearTimeout(stallTimer);
    clearTimeout(silenceTimer);
    if (port) port.terminate();
    port = null;
    starting = null;
  }

  function finish(ok) {
    const done = settle;
    settle = null;
    if (done) done(ok);
  }

  function fail(detail, words = NOT_STARTED) {
    close();
    engine.state = "failed";
    engine.detail = detail;
    engine.reason = words[0] + detail + words[1];
    announce();
    flush({ engine: "failed", reason: engine.reason, detail });
    finish(false);
  }

  function receive(from, message) {
    if (from !== port) return; /* a worker that was already given up */
    if (message.kind === "alive") {
      /* Ours only when the worker is gone. */
      navigator.locks.request(message.lock, () => {
        if (from === port) fail("the browser ended them", engine.state === "ready" ? STOPPED : NOT_STARTED);
      }).catch(() => {});
    } else if (message.kind === "progress") {
      engine.progress = { loaded: message.loaded, total: message.total, step: message.step };
      if (engine.state === "loading") {
        watchForStall();
        announce();
      }
    } else if (message.kind === "ready") {
      clearTimeout(stallTimer);
      engine.state = "ready";
      announce();
      finish(true);
    } else if (message.kind === "try-bytecode") {
      from.terminate();
      openServed("bytecode");
    } else if (message.kind === "failed") {
      fail(message.detail);
    } else if (message.kind === "calc-progress") {
      document.dispatchEvent(new CustomEvent("guide-engine-progress", { detail: parse(message.text) }));
      watchForSilence();
    } else {
      const resolve = pending.get(message.id);
      if (message.dead) {
        fail("Python broke down (" + message.detail.slice(0, 200) + ")", STOPPED);
        return;
      }
      pending.delete(message.id);
      watchForSilence();
      if (!resolve) return;
      resolve(message.kind === "answer" ? parse(message.text) : broken(message.detail));
    }
  }

  function parse(text) {
    try {
      return JSON.parse(text);
    } catch {
      return broken("the answer was not JSON");
    }
  }

  function broken(detail) {
    const reason = "The calculator met a fault in the program. Your input is kept.";
    return { ok: false, engine: "error", reason, detail };
  }

  function listen(made) {
    port = made;
    made.onmessage = (event) => receive(made, event.data);
    made.onerror = (event) => {
      if (event.preventDefault) event.preventDefault();
      if (made === port && engine.state === "loading") fail(event.message || "its worker could not be fetched");
    };
  }

  function openServed(way = "") {
    listen(new Worker(BASE + PARTS.worker, { type: "module", name: [again ? "again" : "", way].join("+") }));
  }

  function loadScript(url) {
    return new Promise((resolve, reject) => {
      const script = document.createElement("script");
      script.src = url;
      script.onload = resolve;
      script.onerror = () => reject(new Error("the file offline-bundle.js is missing from the folder"));
      document.head.appendChild(script);
    });
  }

  /* The bundle is one big classic script, the only kind that a page opened from a folder may load. */
  async function openFromFolder() {
    if (!window.GuideBundle) await loadScript(BASE + PARTS.bundle);
    if (engine.state !== "loading" || port) return; /* cancelled meanwhile */
    const bundle = window.GuideBundle;
    try {
      const code = bundle.worker + "\nself.importScripts = undefined;" /* Pyodide refuses workers that have it */
        + "\nlet ready = null; self.onmessage = (event) => {"
        + " if (!ready) ready = guideBootOffline(event.data, (m) => self.postMessage(m));"
        + " else ready.then((handle) => handle(event.data)); };";
      const url = URL.createObjectURL(new Blob([code], { type: "text/javascript" }));
      /* The theme's search puts a stand-in for Worker into such pages that can't take a Blob. */
      const made = new (window.GuideNativeWorker || Worker)(url);
      port = made;
      const onThisPage = () => {
        if (made === port && engine.state === "loading") openOnPage(bundle);
      };
      const silent = setTimeout(onThisPage, SILENT_MS);
      made.onerror = (event) => {
        if (event.preventDefault) event.preventDefault();
        onThisPage();
      };
      made.onmessage = (event) => {
        clearTimeout(silent);
        if (event.data.kind === "failed") onThisPage();
        else receive(made, event.data);
      };
      made.postMessage({ parts: bundle.parts, sizes: bundle.sizes });
    } catch {
      openOnPage(bundle);
    }
  }

  /* Last way: on the page itself. Slower to type beside, but it answers. */
  function openOnPage(bundle) {
    if (port) port.terminate();
    let open = true;
    const made = {
      terminate() { open = false; },
      postMessage(message) { ready.then((handle) => setTimeout(handle, 0, message)); },
    };
    port = made;
    const send = (message) => { if (open) receive(made, message); };
    const ready = bundle.bootOnPage({ parts: bundle.parts, sizes: bundle.sizes }, send);
  }

  function start() {
    if (engine.state === "ready") return Promise.resolve(true);
    if (engine.state === "failed") return Promise.resolve(false);
    if (starting) return starting;
    engine.state = "loading";
    engine.reason = engine.detail = "";
    engine.progress = { loaded: 0, total: PARTS.total, step: "Fetching the calculator engine" };
    starting = new Promise((resolve) => { settle = resolve; });
    const promise = starting;
    watchForStall();
    announce();
    if (typeof WebAssembly !== "object" || typeof Worker !== "function") {
      fail("this browser is too old for them");
    } else {
      const mine = starting;
      Promise.resolve().then(() => (FROM_FOLDER ? openFromFolder() : openServed())).catch((error) => {
        if (starting === mine) fail(error.message);
      });
    }
    return promise;
  }

  function call(request) {
    return start().then((ok) => {
      if (!ok || !port) {
        const { state, reason, detail } = engine;
        return { ok: false, engine: state === "idle" ? "cancelled" : "failed", reason, detail };
      }
      return new Promise((resolve) => {
        const id = nextId++;
        pending.set(id, resolve);
        if (pending.size === 1) watchForSilence();
        port.postMessage({ id, text: JSON.stringify(request) });
      });
    });
  }

  function cancel() {
    if (engine.state !== "loading" && engine.state !== "ready") return;
    close();
    engine.state = "idle";
    announce();
    flush({ engine: "cancelled", reason: "Stopped." });
    finish(false);
  }

  function retry() {
    if (engine.state === "failed") {
      engine.state = "idle";
      again = true;
    }
    return start();
  }

  window.GuideEngine = engine;
})();
