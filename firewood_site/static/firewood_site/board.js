// The board: a drop is dragged by its grip, and what it costs is said before it is let go.
// Without this script the grip is a link to a page with the same answers and buttons.
(() => {
  "use strict";
  const FAR = 6, EDGE = 70, STEP = 14; // px: a drag begins, the page scrolls near its edge, by so much
  const AFTER = 250; // ms in which a click belongs to the drag before it
  const answers = new Map(); // by address, for one look at the page
  let open = null, opener = null, drag = null, letGo = -AFTER;

  const part = async (address) => {
    if (!answers.has(address)) {
      answers.set(address, fetch(address, { headers: { "HX-Request": "true" } }).then(async (answer) => {
        if (!answer.ok) throw new Error(answer.status);
        return new DOMParser().parseFromString(await answer.text(), "text/html");
      }));
      answers.get(address).catch(() => answers.delete(address));
    }
    return (await answers.get(address)).querySelector("section").cloneNode(true);
  };

  const close = () => {
    open?.remove();
    open = null;
    document.querySelectorAll(".moving").forEach((row) => row.classList.remove("moving"));
    opener?.focus();
  };
  const ask = async (address, from) => {
    let said;
    try { said = await part(address); } catch { window.location.assign(address); return; }
    open?.remove();
    opener = from || opener;
    open = Object.assign(document.createElement("dialog"), { className: "ask", open: true });
    open.setAttribute("aria-labelledby", "ask-head");
    open.append(said);
    if (!said.querySelector("[data-put-back]")) {
      const back = Object.assign(document.createElement("button"), { type: "button", className: "button quiet wide", textContent: "Put back" });
      back.dataset.putBack = "";
      said.append(back);
    }
    document.getElementById("main").append(open);
    said.querySelector("h1").focus();
  };
  document.addEventListener("click", (event) => {
    const link = event.target.closest("a[data-ask]"), back = event.target.closest("[data-put-back]");
    if (back && open?.contains(back)) { event.preventDefault(); close(); return; }
    if (!link || event.metaKey || event.ctrlKey || event.shiftKey) return;
    event.preventDefault();
    const row = link.closest("[data-name]");
    if (row) { document.querySelectorAll(".moving").forEach((other) => other.classList.remove("moving")); row.classList.add("moving"); }
    ask(link.href, open?.contains(link) ? opener : link);
  });
  document.addEventListener("keydown", (event) => {
    if (event.key === "Escape") { if (drag) stop(); else if (open) close(); }
  });

  // Where a drop would go: before or after the row under the finger.
  const placeAt = (x, y) => {
    const row = document.elementFromPoint(x, y)?.closest("[data-before], [data-after], [data-day]");
    if (!row) return null;
    if (row.dataset.day) return { row, place: row.dataset.day, side: "after" };
    const box = row.getBoundingClientRect(), isAbove = y < box.top + box.height / 2;
    const side = (isAbove && row.dataset.before) || !row.dataset.after ? "before" : "after";
    return { row, place: row.dataset[side], side };
  };
  const unmark = () => document.querySelectorAll(".into-before, .into-after, .into-not").forEach((row) => row.classList.remove("into-before", "into-after", "into-not"));
  const stop = () => {
    document.body.classList.remove("dragging");
    drag?.held?.remove();
    drag?.from.classList.remove("moving");
    unmark();
    window.clearInterval(drag?.roll);
    drag = null;
  };
  const isSame = (place) => [drag.from.dataset.before, drag.from.dataset.after, drag.from.dataset.own].includes(place);
  const price = (place) => drag.offers?.querySelector(`[data-place="${place}"] .delta`);
  const look = async () => {
    if (!drag?.held) return;
    const now = drag, at = placeAt(now.x, now.y);
    now.held.style.setProperty("left", `${Math.min(now.x + 14, window.innerWidth - now.held.offsetWidth - 8)}px`);
    now.held.style.setProperty("top", `${Math.min(now.y + 14, window.innerHeight - now.held.offsetHeight - 8)}px`);
    if ((at?.place || "") === now.place) return;
    now.place = at?.place || "";
    unmark();
    const words = now.held.lastChild;
    if (!at || isSame(at.place)) { words.textContent = at ? "where it is" : "let go over a place"; return; }
    if (at.row.dataset.day) {
      at.row.classList.add("into-after");
      words.textContent = "…";
      try {
        const said = await part(`${now.from.dataset.toDay}?to=${at.place}`);
        if (drag === now && now.place === at.place) words.textContent = said.querySelector(".delta")?.innerText || said.querySelector(".note")?.textContent || "";
      } catch { words.textContent = "let go to ask"; }
      return;
    }
    if (!now.offers) { words.textContent = "…"; return; }
    const said = price(at.place);
    at.row.classList.add(said ? `into-${at.side}` : "into-not");
    words.textContent = said ? [...said.children].map((one) => one.textContent).join("   ") : "can't go there";
  };
  const begin = (event) => {
    drag.held = Object.assign(document.createElement("div"), { className: "held" });
    drag.held.append(Object.assign(document.createElement("b"), { textContent: drag.from.dataset.name }), document.createElement("br"), document.createElement("span"));
    document.body.append(drag.held);
    document.body.classList.add("dragging");
    drag.from.classList.add("moving");
    const mine = drag;
    if (mine.from.dataset.before) {
      part(mine.grip.href).then((said) => { mine.offers = said; mine.place = null; if (drag === mine) look(); }).catch(() => {});
    }
    mine.roll = window.setInterval(() => {
      const by = mine.y < EDGE ? -STEP : mine.y > window.innerHeight - EDGE ? STEP : 0;
      if (by) { window.scrollBy(0, by); look(); }
    }, 30);
  };
  document.addEventListener("pointerdown", (event) => {
    const grip = event.target.closest(".grip");
    if (!grip || event.button !== 0) return;
    drag = { grip, from: grip.closest("[data-name]"), x: event.clientX, y: event.clientY, startX: event.clientX, startY: event.clientY };
  });
  document.addEventListener("pointermove", (event) => {
    if (!drag) return;
    drag.x = event.clientX;
    drag.y = event.clientY;
    if (!drag.held && Math.hypot(drag.x - drag.startX, drag.y - drag.startY) < FAR) return;
    if (!drag.held) begin(event);
    look();
  });
  document.addEventListener("pointerup", () => {
    if (!drag) return;
    const { held, grip, from, x, y } = drag, at = held ? placeAt(x, y) : null, goes = at && !isSame(at.place);
    stop();
    if (held) letGo = performance.now();
    if (!goes) return;
    from.classList.add("moving");
    const day = at.row.dataset.day;
    ask(day ? `${from.dataset.toDay}?to=${day}` : `${grip.href}?to=${at.place}`, grip);
  });
  // The click that follows is the end of the drag, not a tap on a link.
  document.addEventListener("click", (event) => {
    if (performance.now() - letGo < AFTER && !open?.contains(event.target)) { event.preventDefault(); event.stopPropagation(); }
  }, true);
  document.addEventListener("pointercancel", stop);
  document.addEventListener("dragstart", (event) => { if (event.target.closest(".grip")) event.preventDefault(); });
})();
