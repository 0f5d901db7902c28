/* Registers the service worker of a served guide, says how far it is, and asks before a new version is used.

   GuideOffline.state   "unsupported" | "caching" | "ready" | "update-ready" | "off" | "failed"
   GuideOffline.detail  {done, total} bytes while caching, {reason} when failed or unsupported; when ready, {behind}
                        says why a newer version could not be saved and {damaged} names a kept file that no longer fits
                        its hash
   GuideOffline.accept() uses the new version now; .off() removes all that is kept; .on() keeps the guide again
   Event on document: "guide-offline" at every change, with {state, ...detail} */
(function () {
  "use strict";
  if (window.GuideOffline) return;

  const ROOT = new URL("../../", document.currentScript.src).href;
  const OFF_KEY = "guide-offline-off " + new URL(ROOT).pathname;
  let registration = null;
  let accepted = false;
  let controlled = false;
  let bar = null;

  const offline = { state: "unsupported", detail: {}, accept, off, on };
  window.GuideOffline = offline;

  function set(state, detail) {
    offline.state = state;
    offline.detail = detail || {};
    document.dispatchEvent(new CustomEvent("guide-offline", { detail: Object.assign({ state }, offline.detail) }));
    showBar(state === "update-ready");
  }

  /* Storage may be closed to us; then the switch lasts for this page only. */
  function remember(value) {
    try {
      if (value) localStorage.setItem(OFF_KEY, "1");
      else localStorage.removeItem(OFF_KEY);
    } catch { /* nothing to do */ }
  }

  function turnedOff() {
    try {
      return localStorage.getItem(OFF_KEY) === "1";
    } catch {
      return false;
    }
  }

  function button(words, action) {
    const made = document.createElement("button");
    made.type = "button";
    made.textContent = words;
    made.className = "md-button guide-update__button";
    made.addEventListener("click", action);
    return made;
  }

  function showBar(wanted) {
    if (!wanted || bar) {
      if (!wanted && bar) { bar.remove(); bar = null; }
      return;
    }
    bar = document.createElement("div");
    bar.className = "guide-update";
    bar.setAttribute("role", "status");
    document.body.appendChild(bar);
    const words = document.createElement("span");
    words.textContent = "A new version of this guide is ready. Your entries are kept.";
    const current = bar;
    /* A live region speaks what changes in it after it stands there. */
    const later = button("Later", () => current.remove());
    setTimeout(() => current.append(words, button("Use the new version", accept), later), 0);
  }

  function accept() {
    if (!registration || !registration.waiting) return;
    accepted = true;
    registration.waiting.postMessage({ type: "skipWaiting" });
  }

  async function off() {
    remember(true);
    const worker = registration && (registration.active || registration.waiting || registration.installing);
    if (worker) worker.postMessage({ type: "off" });
    set("off");
  }

  function on() {
    remember(false);
    return register();
  }

  function follow(worker) {
    worker.addEventListener("statechange", () => {
      if (worker.state === "installed" && registration.active && registration.active !== worker) set("update-ready");
      if (worker.state === "redundant" && offline.state === "caching") {
        set("failed", { reason: "not everything could be fetched; the next visit tries again" });
      }
    });
  }

  /* What a browser needs to put the guide on a home screen. Not in a folder, where it may not be read. */
  function nameTheManifest() {
    if (document.querySelector('link[rel="manifest"]')) return;
    const link = document.createElement("link");
    link.rel = "manifest";
    link.href = ROOT + "guide.webmanifest";
    document.head.append(link);
  }

  async function register() {
    nameTheManifest();
    try {
      registration = await navigator.serviceWorker.register(ROOT + "sw.js", { scope: ROOT, updateViaCache: "none" });
    } catch (error) {
      set("failed", { reason: "the browser refused to keep the guide: " + error.message });
      return;
    }
    if (!registration) {
      set("failed", { reason: "the browser keeps no pages here" });
      return;
    }
    registration.addEventListener("updatefound", () => registration.installing && follow(registration.installing));
    if (registration.installing) {
      follow(registration.installing);
      if (!registration.active && offline.state !== "caching") set("caching", { done: 0, total: 0 });
    }
    if (registration.waiting && registration.active) set("update-ready");
    else if (registration.active && !registration.installing) set("ready");
    /* A set that fails at once is gone before we could listen to it. */
    else if (!registration.active && !registration.installing && offline.state !== "caching") {
      set("failed", { reason: "not everything could be fetched; the next visit tries again" });
    }
  }

  function hear(event) {
    const message = event.data || {};
    if (!message.guide) return;
    if (message.state === "caching") {
      /* An update that loads behind a working set is not shown before it is whole. */
      if (!navigator.serviceWorker.controller) set("caching", { done: message.done, total: message.total });
    } else if (message.state === "failed") {
      if (!navigator.serviceWorker.controller) set("failed", { reason: message.reason });
      else if (offline.state === "ready") set("ready", { behind: message.reason });
    } else if (message.state === "damaged") {
      if (offline.state === "ready") set("ready", { damaged: message.path });
    } else {
      set(message.state);
    }
  }

  function begin() {
    controlled = Boolean(navigator.serviceWorker.controller);
    navigator.serviceWorker.addEventListener("message", hear);
    navigator.serviceWorker.addEventListener("controllerchange", () => {
      /* The first worker takes over without a reload; a new version never mixes with a page of the old. */
      if (controlled || accepted) location.reload();
      controlled = true;
    });
    if (turnedOff()) set("off");
    else register();
  }

  if (location.protocol === "file:") {
    set("unsupported", { reason: "this copy is already on your device" });
  } else if (!navigator.serviceWorker || !window.isSecureContext) {
    set("unsupported", { reason: "this browser keeps pages only over a secure connection" });
  } else if (document.readyState === "complete") {
    begin();
  } else {
    window.addEventListener("load", begin, { once: true });
  }
})();
