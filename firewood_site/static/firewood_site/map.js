// Maps: <div class="map" data-json="ID"> draws a route from the JSON script with that id;
// <div class="map" data-pin="1" data-lat="INPUT" data-lon="INPUT"> lets somebody set a pin.
// Needs Leaflet. A page without JavaScript has the drawn map or the typed address instead.
(() => {
  "use strict";
  const L = window.L;
  if (!L) return;
  const TILES = "/roads/tiles/{z}/{x}/{y}.svg", INFO = "/roads/near", NEAR_ZOOM = 15, MARK = 30, GAP = 4;
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

  const wideAs = (marks) => Math.max(MARK, 14 + 9 * marks.join("·").length);
  const mark = (text, kind) => {
    const wide = wideAs([text]);
    const words = Object.assign(document.createElement("span"), { textContent: text });
    return L.divIcon({ className: `map-mark ${kind}`, html: words, iconSize: [wide, MARK], iconAnchor: [wide / 2, kind === "pin" ? 36 : 15] });
  };

  // Halts whose marks would touch at this zoom share one, so that each stays apart and easy to tap.
  const touch = (one, other) => Math.abs(one.at.x - other.at.x) < (wideAs(one.marks) + wideAs(other.marks)) / 2 + GAP
    && Math.abs(one.at.y - other.at.y) < MARK + GAP;
  const gathered = (map, halts) => {
    let left = halts.map(({ geometry: { coordinates: [lon, lat] }, properties: { mark: number, name, kind } }) => (
      { at: map.latLngToLayerPoint([lat, lon]), spot: [lat, lon], marks: number ? [number] : [], names: name ? [name] : [], isYard: kind === "yard" }));
    for (let before = Infinity; left.length < before;) {
      before = left.length;
      const groups = [];
      for (const one of left) {
        const near = groups.find((other) => touch(one, other));
        if (!near) { groups.push(one); continue; }
        near.marks = [...new Set([...near.marks, ...one.marks])];
        near.names = [...new Set([...near.names, ...one.names])];
        near.isYard ||= one.isYard;
      }
      left = groups;
    }
    return left.map(({ spot, marks, names, isYard }) => {
      const words = document.createElement("span");
      words.textContent = names.join(", ");
      const halt = L.marker(spot, { icon: mark(marks.join("·"), isYard ? "yard" : "stop"), title: names.join(", ") }).bindPopup(words);
      halt.on("add", () => halt.getElement().setAttribute("aria-label", `${marks.join(", ")} ${names.join(", ")}`));
      return halt;
    });
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
    for (const one of halts) around.extend([one.geometry.coordinates[1], one.geometry.coordinates[0]]);
    if (around.isValid()) map.fitBounds(around, { padding: [28, 28], maxZoom: 15 });
    else if (told.bounds) map.fitBounds(told.bounds);
    else map.setView([0, 0], 6);
    const marks = L.layerGroup().addTo(map);
    const again = () => { marks.clearLayers(); for (const halt of gathered(map, halts)) marks.addLayer(halt); };
    again();
    map.on("zoomend", again);
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
