// Maps: <div class="map" data-json="ID"> draws a route from the JSON script with that id;
// <div class="map" data-pin="1" data-lat="INPUT" data-lon="INPUT"> lets somebody set a pin.
// Needs Leaflet. A page without JavaScript has the drawn map or the typed address instead.
(() => {
  "use strict";
  const L = window.L;
  if (!L) return;
  const TILES = "/roads/tiles/{z}/{x}/{y}.svg", INFO = "/roads/near", NEAR_ZOOM = 15;
  const still = window.matchMedia("(prefers-reduced-motion: reduce)").matches;

  const start = (box, told) => {
    const map = L.map(box, {
      minZoom: 6, maxZoom: 18, zoomAnimation: !still, fadeAnimation: !still, markerZoomAnimation: !still,
      scrollWheelZoom: !box.dataset.pin,
    });
    map.attributionControl.setPrefix(false);
    L.tileLayer(box.dataset.tiles || TILES, { maxZoom: 18, attribution: told.credit || "", keepBuffer: 1 }).addTo(map);
    L.control.scale({ metric: false }).addTo(map);
    if (told.bounds) map.setMaxBounds(L.latLngBounds(told.bounds).pad(0.5));
    return map;
  };

  const mark = (text, kind) => {
    const wide = Math.max(30, 14 + 9 * text.length);
    const words = Object.assign(document.createElement("span"), { textContent: text });
    return L.divIcon({ className: `map-mark ${kind}`, html: words, iconSize: [wide, 30], iconAnchor: [wide / 2, kind === "pin" ? 36 : 15] });
  };

  const drawRoute = (box, told) => {
    const map = start(box, told);
    const features = told.features.features;
    const way = features.filter((one) => one.geometry.type === "LineString");
    const halts = features.filter((one) => one.geometry.type === "Point");
    const around = L.latLngBounds([]);
    for (const one of way) {
      const spots = one.geometry.coordinates.map(([lon, lat]) => [lat, lon]);
      L.polyline(spots, { className: "map-way-casing", interactive: false }).addTo(map);
      L.polyline(spots, { className: one.properties.estimated ? "map-way guessed" : "map-way", interactive: false }).addTo(map);
      around.extend(spots);
    }
    const together = new Map();
    for (const one of halts) {
      const [lon, lat] = one.geometry.coordinates, key = `${lat.toFixed(4)},${lon.toFixed(4)}`;
      const group = together.get(key) || { lat, lon, marks: [], names: [], kind: "stop" };
      const { mark: number, name, kind } = one.properties;
      if (number && !group.marks.includes(number)) group.marks.push(number);
      if (name && !group.names.includes(name)) group.names.push(name);
      if (kind === "yard") group.kind = "yard";
      together.set(key, group);
    }
    for (const { lat, lon, marks, names, kind } of together.values()) {
      const words = document.createElement("span");
      words.textContent = names.join(", ");
      const halt = L.marker([lat, lon], { icon: mark(marks.join("·"), kind), title: names.join(", ") }).bindPopup(words);
      // The icon is made when the map has its view, which comes after.
      halt.on("add", () => halt.getElement().setAttribute("aria-label", `${marks.join(", ")} ${names.join(", ")}`));
      halt.addTo(map);
      around.extend([lat, lon]);
    }
    if (around.isValid()) map.fitBounds(around, { padding: [28, 28], maxZoom: 15 });
    else if (told.bounds) map.fitBounds(told.bounds);
    else map.setView([0, 0], 6);
    return map;
  };

  const setPin = (box, told) => {
    const map = start(box, told);
    const lat = document.getElementById(box.dataset.lat), lon = document.getElementById(box.dataset.lon);
    let pin = null;
    const put = (spot, tell) => {
      if (!pin) {
        pin = L.marker(spot, { draggable: true, autoPan: true, icon: mark("", "pin") }).addTo(map);
        pin.getElement().setAttribute("aria-label", box.dataset.pinName || "Pin");
        pin.on("dragend", () => put(pin.getLatLng(), true));
      }
      pin.setLatLng(spot);
      if (!tell) return;
      if (map.getZoom() < NEAR_ZOOM) map.setView(spot, NEAR_ZOOM); // close enough to see the drive and mend the pin
      const at = { lat: Number(spot.lat.toFixed(6)), lon: Number(L.Util.wrapNum(spot.lng, [-180, 180], true).toFixed(6)) };
      for (const [input, value] of [[lat, at.lat], [lon, at.lon]]) {
        if (input) { input.value = value; input.dispatchEvent(new Event("change", { bubbles: true })); }
      }
      box.dispatchEvent(new CustomEvent("pin", { bubbles: true, detail: at }));
    };
    map.on("click", (event) => put(event.latlng, true));
    box.addEventListener("keydown", (event) => {
      if (event.key === "Enter" && event.target === box) { event.preventDefault(); put(map.getCenter(), true); }
    });
    const known = lat && lon && lat.value !== "" && lon.value !== "";
    if (known) { map.setView([Number(lat.value), Number(lon.value)], NEAR_ZOOM); put(map.getCenter(), false); }
    else if (box.dataset.center) map.setView(box.dataset.center.split(",").map(Number), Number(box.dataset.zoom || 12));
    else if (told.center) map.setView(told.center, Number(box.dataset.zoom || 10));
    else if (told.bounds) map.fitBounds(told.bounds);
    else map.setView([0, 0], 6);
    return map;
  };

  const draw = async (box) => {
    if (box.dataset.drawn || box.hidden) return;
    box.dataset.drawn = "1";
    let told = {};
    const script = box.dataset.json && document.getElementById(box.dataset.json);
    if (script) told = JSON.parse(script.textContent);
    else {
      try {
        const answer = await fetch(box.dataset.info || INFO, { headers: { Accept: "application/json" } });
        if (answer.ok) told = await answer.json();
      } catch { /* the map still shows what tiles are kept */ }
    }
    // A drawn map inside is the page's own answer without JavaScript.
    box.replaceChildren();
    box.removeAttribute("role");
    const map = box.dataset.pin ? setPin(box, told) : drawRoute(box, told);
    box.dataset.ready = "1";
    box.dispatchEvent(new CustomEvent("mapready", { bubbles: true, detail: { map } }));
  };

  const all = (root) => root.querySelectorAll(".map[data-pin], .map[data-json]").forEach(draw);
  all(document);
  document.addEventListener("htmx:after:swap", () => all(document));
  document.addEventListener("htmx:afterSwap", () => all(document));
})();
