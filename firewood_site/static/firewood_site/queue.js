// The phone's queue: what is tapped on the road or logged in the woods is kept on the phone first and sent when
// it can be. Every form with data-event works without this file; then it needs signal.
// data-to: where it is sent; data-photo-to: where its photo is; data-stays: the page stays, with these words.
(() => {
  "use strict";
  const EVENTS = "/driver/events", PHOTO = "/driver/photo", PERIOD = 30000, SIDE = 1600;
  const signal = document.getElementById("signal");
  // Sentences by their English; a page in another language brings its own.
  const TEXTS = JSON.parse(document.getElementById("queue-texts")?.textContent || "{}");
  const t = (english, gaps = {}) => Object.entries(gaps).reduce((text, [name, value]) => text.replace(`{${name}}`, value), TEXTS[english] || english);
  const WORDS = {
    left: "left", loaded: "loaded", on_the_way: "on the way", arrived: "arrived", delivered: "delivered",
    paid: "paid", no_show: "nobody there", trouble: "trouble", home: "home", ticked: "checked off",
    put_back: "where it lies",
    logged: "work logged",
  };
  const ENDS = ["delivered", "no_show"];
  const CARRIED = "said", MANY = ["ticks", "steps", "people"], LEFT_OUT = ["csrfmiddlewaretoken", "next", "key"];
  const NAMED = ["uuid", "stop", "order", "part", "at", "sheet"];
  let trouble = "", sending = false, unread = [], fates = {};

  const ready = new Promise((done, fail) => {
    const asked = indexedDB.open("driver", 1);
    asked.onupgradeneeded = () => {
      asked.result.createObjectStore("events", { keyPath: "uuid" });
      asked.result.createObjectStore("photos", { keyPath: "uuid" });
    };
    asked.onsuccess = () => done(asked.result);
    asked.onerror = () => fail(asked.error);
  });
  const act = async (store, mode, what) => {
    const db = await ready;
    return new Promise((done, fail) => {
      const work = db.transaction(store, mode), asked = what(work.objectStore(store));
      work.oncomplete = () => done(asked.result);
      work.onerror = () => fail(work.error);
    });
  };
  const put = (store, row) => act(store, "readwrite", (rows) => rows.put(row));
  const drop = (store, uuid) => act(store, "readwrite", (rows) => rows.delete(uuid));
  const all = async (store) => (await act(store, "readonly", (rows) => rows.getAll())).sort((a, b) => (a.at < b.at ? -1 : 1));

  const cookie = (name) => document.cookie.split("; ").find((part) => part.startsWith(`${name}=`))?.slice(name.length + 1) || "";
  const isJson = (answer) => (answer.headers.get("content-type") || "").includes("json");

  const show = async () => {
    const kept = await all("events"), photos = await all("photos");
    const events = kept.filter((event) => !event.refused), waiting = events.length + photos.length;
    if (signal) {
      signal.textContent = trouble || (waiting ? t(navigator.onLine ? "{count} kept on this phone" : "{count} kept on this phone, no signal", { count: waiting }) : navigator.onLine ? "" : signal.dataset.idle || "");
    }
    for (const event of events) {
      const mark = document.querySelector(event.stop ? `[data-stop="${event.stop}"] [data-mark]` : `[data-load="${event.load}"] [data-mark]`);
      if (!mark) continue;
      const badge = Object.assign(document.createElement("span"), { className: "badge warn", textContent: t("{what}, kept", { what: t(WORDS[event.kind] || event.kind) }) });
      mark.replaceChildren(badge);
    }
    document.dispatchEvent(new CustomEvent("kept", { detail: events }));
    // Wood brought home without signal: where it lies is asked before the server knows that it came home.
    const back = events.filter((event) => event.kind === "no_show" || (event.kind === "trouble" && event.comes_home)).map((event) => event.stop);
    for (const form of document.querySelectorAll("form[data-came-home]")) if (back.includes(form.elements.stop.value)) form.hidden = false;
    // What was said here already is not asked again from a kept page.
    for (const event of events) {
      for (const form of document.querySelectorAll("form[data-event]:not([data-stays])")) {
        const about = ["run", "load", "stop"].every((name) => !form.elements[name] || form.elements[name].value === String(event[name] ?? ""));
        if (about && (form.dataset.event === event.kind || (ENDS.includes(event.kind) && !("cameHome" in form.dataset)))) form.hidden = true;
      }
    }
    for (const fold of document.querySelectorAll(".for-driver details.card")) fold.hidden = !fold.querySelector("form:not([hidden])");
    const list = document.getElementById("queue");
    if (!list) return;
    list.replaceChildren(...[...kept, ...photos].map((event) => {
      const line = Object.assign(document.createElement("li"), { className: "card" });
      line.textContent = `${t(WORDS[event.kind] || "photo")}${event.order ? `, ${t("order {number}", { number: event.order })}` : ""} · ${new Date(event.at).toLocaleTimeString(document.documentElement.lang || [], { hour: "numeric", minute: "2-digit" })}`;
      if (event.refused) {
        const form = document.querySelector(`form[data-stays][data-event="${event.kind}"]`);
        const button = Object.assign(document.createElement("button"), { type: "button", className: "button quiet", textContent: t(form ? "Correct it" : "I have read it") });
        button.addEventListener("click", () => { if (form) fill(form, event); drop("events", event.uuid).then(show); });
        line.append(Object.assign(document.createElement("p"), { className: "note warn", textContent: event.refused }), button);
      }
      return line;
    }));
    if (!kept.length && !photos.length && list.dataset.empty) list.append(Object.assign(document.createElement("li"), { textContent: list.dataset.empty }));
    const button = document.querySelector("[data-send]");
    if (button) button.hidden = !waiting;
  };

  // What could not be booked, back in its form under its old key.
  const fill = (form, event) => {
    form.reset();
    form.dataset.uuid = event.uuid;
    for (const field of form.elements) {
      if (!field.name || !(field.name in event)) continue;
      const said = [event[field.name]].flat();
      if (["checkbox", "radio"].includes(field.type)) field.checked = said.includes(field.value);
      else if (field.type !== "file") field.value = said[0];
    }
    form.scrollIntoView();
  };

  // Deleted here only after the server named the key.
  const sendEvents = async () => {
    const events = (await all("events")).filter((event) => !event.refused);
    for (const to of new Set(events.map((event) => event.to || EVENTS))) {
      await sendTo(to, events.filter((event) => (event.to || EVENTS) === to));
    }
  };
  const sendTo = async (to, events) => {
    const answer = await fetch(to, {
      method: "POST", credentials: "same-origin",
      headers: { "Content-Type": "application/json", "X-CSRFToken": cookie("csrftoken") },
      body: JSON.stringify({ events }),
    });
    if (!answer.ok || !isJson(answer)) throw new Error(answer.status === 403 || answer.redirected ? t("Log in again to send.") : t("Not sent yet."));
    for (const result of (await answer.json()).results) {
      const event = events.find((event) => event.uuid === result.uuid);
      fates[result.uuid] = result;
      if (result.outcome.endsWith("conflict") || result.outcome === "refused") say(result.message, event?.order);
      // A refused one is not sent again, and stays in sight until somebody has read it.
      if (result.outcome === "refused" && event) await put("events", { ...event, refused: result.message });
      else await drop("events", result.uuid);
    }
  };
  const sendPhotos = async () => {
    const waiting = (await all("events")).map((event) => event.uuid);
    for (const photo of await all("photos")) {
      if (waiting.includes(photo.sheet)) continue;
      const form = new FormData();
      for (const name of NAMED) form.append(name, photo[name] ?? "");
      form.append("photo", photo.blob, "photo.jpg");
      const answer = await fetch(photo.to || PHOTO, { method: "POST", credentials: "same-origin", headers: { "X-CSRFToken": cookie("csrftoken") }, body: form });
      if (!answer.ok || !isJson(answer)) throw new Error(t("Photos not sent yet."));
      const result = await answer.json();
      if (result.outcome === "refused") say(result.message, photo.order);
      await drop("photos", photo.uuid);
    }
  };
  const flush = async () => {
    if (sending || !navigator.onLine) return show();
    sending = true;
    try {
      await sendEvents();
      await sendPhotos();
      trouble = "";
    } catch (error) {
      trouble = error instanceof TypeError ? "" : error.message;
    } finally {
      sending = false;
      await show();
    }
  };
  // What could not be booked is said at once and, since a tap leads on, on the page it leads to.
  const say = (words, order) => {
    if (!words) return;
    const sentence = order && !words.includes(order) ? t("Order {number}: {text}", { number: order, text: words }) : words;
    const note = Object.assign(document.createElement("p"), { className: "note warn", textContent: sentence });
    note.setAttribute("role", "alert");
    document.getElementById("main").prepend(note);
    unread.push(sentence);
  };
  const goOn = (path) => {
    try { sessionStorage.setItem(CARRIED, JSON.stringify(unread)); } catch { /* said here, and kept for the seller */ }
    location.assign(path);
  };
  try {
    for (const sentence of JSON.parse(sessionStorage.getItem(CARRIED) || "[]")) say(sentence);
    sessionStorage.removeItem(CARRIED);
    unread = [];
  } catch { /* nothing was carried here */ }

  const small = async (file) => {
    try {
      const picture = await createImageBitmap(file);
      const scale = Math.min(1, SIDE / Math.max(picture.width, picture.height));
      const canvas = Object.assign(document.createElement("canvas"), { width: Math.round(picture.width * scale), height: Math.round(picture.height * scale) });
      canvas.getContext("2d").drawImage(picture, 0, 0, canvas.width, canvas.height);
      return await new Promise((done) => canvas.toBlob((blob) => done(blob || file), "image/jpeg", 0.82));
    } catch { return file; }
  };

  const keep = async (form) => {
    const fields = new FormData(form), event = { uuid: form.dataset.uuid || crypto.randomUUID(), kind: form.dataset.event, to: form.dataset.to, at: new Date().toISOString() };
    for (const name of new Set(fields.keys())) {
      if (LEFT_OUT.includes(name) || name in event) continue;
      const values = fields.getAll(name).filter((value) => typeof value === "string" && value.trim()).map((value) => value.trim());
      if (values.length) event[name] = MANY.includes(name) ? values : values[0];
    }
    await put("events", event);
    const photo = fields.get("photo");
    if (photo instanceof File && photo.size) {
      await put("photos", { uuid: crypto.randomUUID(), stop: event.stop, order: event.order, part: event.part, sheet: form.dataset.stays && event.uuid, to: form.dataset.photoTo, at: event.at, blob: await small(photo) });
    }
    return event;
  };
  // A page that stays says what became of it; what was refused at once is still in the form.
  const settle = async (form, event) => {
    const fate = fates[event.uuid], button = form.querySelector("button:not([type=button])");
    if (button) button.disabled = false;
    if (fate?.outcome === "refused") {
      await drop("events", event.uuid);
      for (const photo of await all("photos")) if (photo.sheet === event.uuid) await drop("photos", photo.uuid);
    } else {
      form.reset();
      delete form.dataset.uuid;
      const note = Object.assign(document.createElement("p"), { className: `note ${fate ? "good" : "warn"}`, textContent: fate?.message || form.dataset.stays });
      note.setAttribute("role", "status");
      document.getElementById("main").prepend(note);
    }
    scrollTo(0, 0);
    await show();
  };

  // Names and addresses leave the phone with whoever logs out; taps not sent yet stay.
  const forget = async () => {
    for (const name of await caches.keys()) if (/^(pages|tiles)-/.test(name)) await caches.delete(name);
  };

  const canKeep = "indexedDB" in window && window.crypto && "randomUUID" in crypto;
  if (canKeep) {
    document.addEventListener("submit", (submit) => {
      const form = submit.target;
      if (form.matches("[data-log-out]")) { submit.preventDefault(); forget().finally(() => form.submit()); return; }
      if (!form.dataset.event) return;
      submit.preventDefault();
      const button = form.querySelector("button:not([type=button])");
      if (button) button.disabled = true;
      for (const note of document.querySelectorAll("#main > .note")) note.remove();
      const sendItself = () => { form.removeAttribute("data-event"); form.submit(); };  // this phone could not keep it
      keep(form).then(async (event) => {
        await flush().catch(() => {});  // kept is kept: it goes out with the next try
        if (form.dataset.stays) return settle(form, event);
        goOn(form.dataset.next || location.pathname);
      }, sendItself);
    });
    document.addEventListener("click", (click) => { if (click.target.closest("[data-send]")) flush(); });
    window.addEventListener("online", flush);
    window.addEventListener("offline", show);
    document.addEventListener("visibilitychange", () => { if (!document.hidden) flush(); });
    setInterval(flush, PERIOD);
    flush();
  } else if (signal) {
    signal.textContent = t("This phone cannot keep taps: each one needs signal.");
  }

  const pages = document.getElementById("kept-pages");
  if (!pages && !document.querySelector(".for-driver")) return;
  if ("serviceWorker" in navigator) {
    navigator.serviceWorker.register("/sw.js").then(() => navigator.serviceWorker.ready).then((found) => {
      const tiles = document.getElementById("kept-tiles");
      if (pages) found.active?.postMessage({ keep: JSON.parse(pages.textContent), tiles: tiles && JSON.parse(tiles.textContent) });
      document.body.dataset.offline = "1";
    }).catch(() => {});
  } else if (signal && !window.isSecureContext) {
    signal.textContent = t("Open this page by https to use it without signal.");
  }
})();
