// The driver's queue: what is tapped is kept on the phone first and sent when it can be.
// Every form works without this file; then each tap needs signal.
(() => {
  "use strict";
  const EVENTS = "/driver/events", PHOTO = "/driver/photo", PERIOD = 30000, SIDE = 1600;
  const signal = document.getElementById("signal");
  const WORDS = {
    left: "left", loaded: "loaded", on_the_way: "on the way", arrived: "arrived", delivered: "delivered",
    paid: "paid", no_show: "nobody there", trouble: "trouble", home: "home", ticked: "ticked",
  };
  const ENDS = ["delivered", "no_show"];
  const CARRIED = "said";
  let trouble = "", sending = false, unread = [];

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
    const events = await all("events"), photos = await all("photos"), waiting = events.length + photos.length;
    if (signal) {
      signal.textContent = trouble || (waiting ? `${waiting} kept on this phone${navigator.onLine ? "" : ", no signal"}` : navigator.onLine ? "" : "No signal. Taps are kept.");
    }
    for (const event of events) {
      const mark = document.querySelector(event.stop ? `[data-stop="${event.stop}"] [data-mark]` : `[data-load="${event.load}"] [data-mark]`);
      if (!mark) continue;
      const badge = Object.assign(document.createElement("span"), { className: "badge warn", textContent: `${WORDS[event.kind] || event.kind}, kept` });
      mark.replaceChildren(badge);
    }
    // What was said here already is not asked again from a kept page.
    for (const event of events) {
      for (const form of document.querySelectorAll("form[data-event]")) {
        const about = ["run", "load", "stop"].every((name) => !form.elements[name] || form.elements[name].value === String(event[name] ?? ""));
        if (about && (form.dataset.event === event.kind || ENDS.includes(event.kind))) form.hidden = true;
      }
    }
    for (const fold of document.querySelectorAll("details.card")) fold.hidden = !fold.querySelector("form:not([hidden])");
    const list = document.getElementById("queue");
    if (!list) return;
    list.replaceChildren(...[...events, ...photos].map((event) => {
      const line = Object.assign(document.createElement("li"), { className: "card" });
      line.textContent = `${WORDS[event.kind] || "photo"}${event.order ? `, order ${event.order}` : ""} · ${new Date(event.at).toLocaleTimeString([], { hour: "numeric", minute: "2-digit" })}`;
      return line;
    }));
    if (!waiting) list.append(Object.assign(document.createElement("li"), { textContent: list.dataset.empty }));
    const button = document.querySelector("[data-send]");
    if (button) button.hidden = !waiting;
  };

  // Deleted here only after the server named the key.
  const sendEvents = async () => {
    const events = await all("events");
    if (!events.length) return;
    const answer = await fetch(EVENTS, {
      method: "POST", credentials: "same-origin",
      headers: { "Content-Type": "application/json", "X-CSRFToken": cookie("csrftoken") },
      body: JSON.stringify({ events }),
    });
    if (!answer.ok || !isJson(answer)) throw new Error(answer.status === 403 || answer.redirected ? "Log in again to send." : "Not sent yet.");
    for (const result of (await answer.json()).results) {
      if (result.outcome.endsWith("conflict") || result.outcome === "refused") say(result.message, events.find((event) => event.uuid === result.uuid)?.order);
      await drop("events", result.uuid);
    }
  };
  const sendPhotos = async () => {
    for (const photo of await all("photos")) {
      const form = new FormData();
      for (const name of ["uuid", "stop", "order", "part", "at"]) form.append(name, photo[name] ?? "");
      form.append("photo", photo.blob, "drop.jpg");
      const answer = await fetch(PHOTO, { method: "POST", credentials: "same-origin", headers: { "X-CSRFToken": cookie("csrftoken") }, body: form });
      if (!answer.ok || !isJson(answer)) throw new Error("Photos not sent yet.");
      const said = await answer.json();
      if (said.outcome === "refused") say(said.message, photo.order);
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
    const sentence = order && !words.includes(order) ? `Order ${order}: ${words}` : words;
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
    const said = new FormData(form), event = { uuid: crypto.randomUUID(), kind: form.dataset.event, at: new Date().toISOString() };
    for (const name of ["run", "load", "stop", "order", "part", "dollars", "method", "cords", "note", "odometer", "comes_home"]) {
      const value = said.get(name);
      if (typeof value === "string" && value.trim()) event[name] = value.trim();
    }
    if (said.has("ticks")) event.ticks = said.getAll("ticks");
    await put("events", event);
    const photo = said.get("photo");
    if (photo instanceof File && photo.size) {
      await put("photos", { uuid: crypto.randomUUID(), stop: event.stop, order: event.order, part: event.part, at: event.at, blob: await small(photo) });
    }
  };

  // Names and addresses leave the phone with whoever logs out; taps not sent yet stay.
  const forget = async () => {
    for (const name of await caches.keys()) if (name.startsWith("pages")) await caches.delete(name);
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
      keep(form).then(flush).then(() => {
        goOn(form.dataset.next || location.pathname);
      }).catch(() => { form.removeAttribute("data-event"); form.submit(); });
    });
    document.addEventListener("click", (click) => { if (click.target.closest("[data-send]")) flush(); });
    window.addEventListener("online", flush);
    window.addEventListener("offline", show);
    document.addEventListener("visibilitychange", () => { if (!document.hidden) flush(); });
    setInterval(flush, PERIOD);
    flush();
  } else if (signal) {
    signal.textContent = "This phone cannot keep taps: each one needs signal.";
  }

  // One tap in place of typing what is due.
  for (const button of document.querySelectorAll("[data-fill]")) {
    button.hidden = false;
    button.addEventListener("click", () => { button.form.elements[button.dataset.fill].value = button.dataset.value; });
  }
  // What is wrong in a fold-out must not stay folded away.
  document.addEventListener("invalid", (event) => {
    for (let fold = event.target.closest("details"); fold; fold = fold.parentElement.closest("details")) fold.open = true;
  }, true);

  if ("serviceWorker" in navigator) {
    navigator.serviceWorker.register("/sw.js").then(() => navigator.serviceWorker.ready).then((found) => {
      const pages = document.getElementById("run-pages");
      if (pages) found.active?.postMessage({ keep: JSON.parse(pages.textContent) });
      document.body.dataset.offline = "1";
    }).catch(() => {});
  } else if (signal && !window.isSecureContext) {
    signal.textContent = "Open this page by https to use it without signal.";
  }
  document.body.dataset.ready = "1";
})();
