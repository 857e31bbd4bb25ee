// The price pages with JavaScript: streets found as you type, your location, a pin. Work without.
(() => {
  "use strict";
  // What was chosen before the scripts arrived, or kept by the browser on the way back, counts like a later tap.
  const differs = (box) => box.type === "radio" || box.type === "checkbox" ? box.checked && !box.defaultChecked
    : box.tagName === "SELECT" ? [...box.options].some((option) => option.selected !== option.defaultSelected && option.selected)
    : box.type !== "hidden" && box.value !== box.defaultValue;
  let caught = "";
  const catchUp = () => {
    const early = [...document.querySelectorAll("main form :is(input, select)")].filter((box) => box.name && differs(box));
    const now = early.map((box) => `${box.name}=${box.value}`).join("&");
    if (now === caught) return;
    caught = now;
    for (const box of early) for (const kind of ["input", "change"]) box.dispatchEvent(new Event(kind, { bubbles: true }));
  };
  setTimeout(catchUp); // htmx begins to listen in a timer of its own, set before this one
  window.addEventListener("pageshow", (event) => { if (event.persisted) catchUp(); });
  const where = document.getElementById("id_where");
  const list = document.getElementById("where-list");
  const lat = document.getElementById("id_lat");
  const lon = document.getElementById("id_lon");
  const picked = document.getElementById("id_picked");
  const town = document.getElementById("id_town");
  const words = document.getElementById("place-found");
  const map = document.getElementById("pin-map");
  const helpers = document.getElementById("place-helpers");

  const other = document.getElementById("id_other");
  if (!other) return;
  // Each wood has its own amounts: those of another one are put away, and the nearest to what was wanted is taken.
  const picks = [...document.querySelectorAll(".picks .pick")].map((label) => label.firstElementChild);
  let wanted = Math.max(picks.findIndex((pick) => pick.checked), 0);
  const fit = (choice) => {
    const open = choice.dataset.amounts.split(" ");
    const seen = picks.filter((pick) => open.includes(pick.value));
    for (const pick of picks) { pick.parentElement.hidden = !seen.includes(pick); pick.checked = false; }
    if (seen.length && !other.value.trim()) (seen.findLast((pick) => picks.indexOf(pick) <= wanted) || seen[0]).checked = true;
    else if (!seen.length) document.getElementById("with-kindling").open = true;
  };
  picks.forEach((pick, place) => pick.addEventListener("change", () => { wanted = place; other.value = ""; }));
  other.addEventListener("input", () => { if (other.value.trim()) for (const pick of picks) pick.checked = false; });
  for (const choice of document.querySelectorAll("[name=choice]")) choice.addEventListener("change", () => fit(choice));
  if (!where || !list) return; // a place that is known already
  helpers.hidden = false;
  const MOST_HITS = 5;
  let hits = [], at = -1, timer = 0, asked = 0;

  const close = () => { list.hidden = true; where.setAttribute("aria-expanded", "false"); where.removeAttribute("aria-activedescendant"); at = -1; };
  const chooseTown = (name) => {
    for (const option of town.options) if (name && option.textContent.trim() === name) town.value = option.value;
  };
  const take = (hit) => {
    // The server looks the words up again; a house number that the map lacks stays as it was typed.
    const number = hit.kind === "street" ? (where.value.match(/^\s*\d+[a-z]?\b(?!\s*$)|\b\d+[a-z]?\s*$/i) || [""])[0].trim() : "";
    where.value = `${number} ${hit.label}`.trim(); picked.value = lat.value = lon.value = "";
    chooseTown(hit.city); words.textContent = hit.note || ""; close();
  };
  const show = (found) => {
    // The chosen town's streets come first, and so few that the list never lies over the button.
    const chosen = town.selectedOptions[0].textContent.trim();
    hits = [...found].sort((one, two) => (two.city === chosen) - (one.city === chosen)).slice(0, MOST_HITS);
    at = -1; list.replaceChildren();
    hits.forEach((hit, place) => {
      const item = document.createElement("li");
      item.id = `where-${place}`; item.setAttribute("role", "option"); item.setAttribute("aria-selected", "false");
      item.textContent = hit.city && !hit.label.includes(hit.city) ? `${hit.label}, ${hit.city}` : hit.label;
      item.addEventListener("pointerdown", (event) => { event.preventDefault(); take(hit); });
      list.append(item);
    });
    list.hidden = !hits.length; where.setAttribute("aria-expanded", String(hits.length > 0));
    const bar = document.querySelector(".sticky-bar");
    if (hits.length && list.getBoundingClientRect().bottom > window.innerHeight - bar.offsetHeight) where.parentElement.scrollIntoView({ block: "start" });
  };
  const mark = (place) => {
    at = place;
    [...list.children].forEach((item, number) => item.setAttribute("aria-selected", String(number === at)));
    if (at >= 0) where.setAttribute("aria-activedescendant", `where-${at}`);
  };
  where.addEventListener("input", () => {
    if (picked.value && where.value !== picked.value) { lat.value = ""; lon.value = ""; picked.value = ""; }
    clearTimeout(timer);
    const text = where.value.trim();
    if (text.length < 3) { close(); return; }
    timer = setTimeout(async () => {
      const mine = ++asked;
      try {
        const answer = await fetch(`${where.dataset.search}?q=${encodeURIComponent(text)}`, { headers: { Accept: "application/json" } });
        if (mine !== asked) return;
        const told = await answer.json();
        if (told.told) words.textContent = told.told;
        show(told.hits || []);
      } catch { close(); }
    }, 180);
  });
  where.addEventListener("keydown", (event) => {
    if (list.hidden) return;
    if (event.key === "ArrowDown") { event.preventDefault(); mark((at + 1) % hits.length); }
    else if (event.key === "ArrowUp") { event.preventDefault(); mark((at - 1 + hits.length) % hits.length); }
    else if (event.key === "Enter" && at >= 0) { event.preventDefault(); take(hits[at]); }
    else if (event.key === "Escape") close();
  });
  where.addEventListener("blur", () => setTimeout(close, 150));
  // What was typed while this script was still on its way is looked up too.
  if (document.activeElement === where && where.value.trim().length > 2) where.dispatchEvent(new Event("input"));

  const named = async (latitude, longitude) => {
    lat.value = latitude.toFixed(6); lon.value = longitude.toFixed(6);
    picked.value = where.value;
    try {
      const answer = await fetch(`${near.dataset.near}?lat=${lat.value}&lon=${lon.value}`, { headers: { Accept: "application/json" } });
      if (answer.ok) {
        const told = await answer.json();
        if (told.on_map === false) { // far away: a spot nobody here knows must not beat the town that is chosen
          lat.value = lon.value = ""; words.textContent = map.dataset.far; town.focus();
          return;
        }
        if (told.hit) {
          if (told.hit.exact && !where.value) where.value = picked.value = told.hit.label;
          if (!town.value) chooseTown(told.hit.city);
          words.textContent = told.hit.note ? `${map.dataset.pinned} ${told.hit.label}: ${told.hit.note}` : `${map.dataset.found} ${told.hit.label}`;
          return;
        }
      }
    } catch { /* the pin stands without a name */ }
    words.textContent = map.dataset.pinned;
  };
  const near = document.getElementById("use-location");
  if (!("geolocation" in navigator)) near.hidden = true;
  near.addEventListener("click", () => {
    navigator.geolocation.getCurrentPosition(
      (spot) => named(spot.coords.latitude, spot.coords.longitude),
      () => { words.textContent = map.dataset.denied; },
      { enableHighAccuracy: true, timeout: 12000, maximumAge: 60000 });
  });

  // The map and its library are fetched only when somebody wants a pin.
  const load = (tag, attributes) => new Promise((done, failed) => {
    const element = document.createElement(tag);
    Object.assign(element, attributes);
    element.addEventListener("load", done); element.addEventListener("error", failed);
    document.head.append(element);
  });
  document.getElementById("open-pin").addEventListener("click", async () => {
    if (!map.hidden) { map.scrollIntoView({ block: "center" }); return; }
    const base = map.dataset.static;
    map.hidden = false;
    try {
      await load("link", { rel: "stylesheet", href: `${base}vendor/leaflet/leaflet.css` });
      await load("script", { src: `${base}vendor/leaflet/leaflet.js` });
      await load("script", { src: `${base}map.js` });
    } catch { map.hidden = true; words.textContent = map.dataset.missing; }
  });
  map.addEventListener("pin", (event) => named(event.detail.lat, event.detail.lon));
})();
