// The price page with JavaScript: streets found as you type, your location, a pin. Works without.
(() => {
  "use strict";
  const where = document.getElementById("id_where");
  const list = document.getElementById("where-list");
  const lat = document.getElementById("id_lat");
  const lon = document.getElementById("id_lon");
  const said = document.getElementById("id_said");
  const town = document.getElementById("id_town");
  const words = document.getElementById("place-said");
  const map = document.getElementById("pin-map");
  const helpers = document.getElementById("place-helpers");
  if (!where || !list) return;

  // Each wood has its own amounts: those of another one are put away, and the nearest to what was wanted is taken.
  const picks = [...document.querySelectorAll(".picks .pick")].map((label) => label.firstElementChild);
  let wanted = Math.max(picks.findIndex((pick) => pick.checked), 0);
  const fit = (choice) => {
    const open = choice.dataset.amounts.split(" ");
    const seen = picks.filter((pick) => open.includes(pick.value));
    for (const pick of picks) { pick.parentElement.hidden = !seen.includes(pick); pick.checked = false; }
    if (seen.length) (seen.findLast((pick) => picks.indexOf(pick) <= wanted) || seen[0]).checked = true;
    else document.getElementById("with-kindling").open = true;
  };
  picks.forEach((pick, place) => pick.addEventListener("change", () => { wanted = place; }));
  for (const choice of document.querySelectorAll("[name=choice]")) choice.addEventListener("change", () => fit(choice));
  helpers.hidden = false;
  let hits = [], at = -1, timer = 0, asked = 0;

  const close = () => { list.hidden = true; where.setAttribute("aria-expanded", "false"); where.removeAttribute("aria-activedescendant"); at = -1; };
  const chooseTown = (name) => {
    for (const option of town.options) if (name && option.textContent.trim() === name) town.value = option.value;
  };
  const take = (hit) => {
    where.value = hit.label; said.value = hit.label; lat.value = hit.lat; lon.value = hit.lon;
    chooseTown(hit.city); words.textContent = hit.note || ""; close();
  };
  const show = (found) => {
    hits = found; at = -1; list.replaceChildren();
    found.forEach((hit, place) => {
      const item = document.createElement("li");
      item.id = `where-${place}`; item.setAttribute("role", "option"); item.setAttribute("aria-selected", "false");
      item.textContent = hit.city && !hit.label.includes(hit.city) ? `${hit.label}, ${hit.city}` : hit.label;
      item.addEventListener("pointerdown", (event) => { event.preventDefault(); take(hit); });
      list.append(item);
    });
    list.hidden = !found.length; where.setAttribute("aria-expanded", String(found.length > 0));
    const bar = document.querySelector(".sticky-bar");
    if (found.length && list.getBoundingClientRect().bottom > window.innerHeight - bar.offsetHeight) where.parentElement.scrollIntoView({ block: "start" });
  };
  const mark = (place) => {
    at = place;
    [...list.children].forEach((item, number) => item.setAttribute("aria-selected", String(number === at)));
    if (at >= 0) where.setAttribute("aria-activedescendant", `where-${at}`);
  };
  where.addEventListener("input", () => {
    if (said.value && where.value !== said.value) { lat.value = ""; lon.value = ""; said.value = ""; }
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

  const named = async (latitude, longitude) => {
    lat.value = latitude.toFixed(6); lon.value = longitude.toFixed(6);
    where.value = ""; said.value = "";
    try {
      const answer = await fetch(`${near.dataset.near}?lat=${lat.value}&lon=${lon.value}`, { headers: { Accept: "application/json" } });
      if (answer.ok) {
        const told = await answer.json();
        if (told.hit) { where.value = told.hit.label; said.value = told.hit.label; chooseTown(told.hit.city); words.textContent = `${map.dataset.found} ${told.hit.label}`; return; }
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
