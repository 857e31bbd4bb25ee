// Maps: <div class="map" data-json="ID"> draws a route from the JSON script with that id;
// <div class="map" data-pin="1" data-lat="INPUT" data-lon="INPUT"> lets somebody set a pin.
// Needs Leaflet. A page without JavaScript has the drawn map or the typed address instead.
(() => {
  "use strict";
  const L = window.L;
  if (!L) return;
  const TILES = "/roads/tiles/{z}/{x}/{y}.svg", INFO = "/roads/near", NEAR_ZOOM = 15, MARK = 30, GAP = 4;
  const RUNS = ["a", "b", "c"], SIDE = 3, ARROW_EVERY = 110, YARD = 6.5, ROOM = 44, FOOT = 64; // px around what a map opens on
  const still = window.matchMedia("(prefers-reduced-motion: reduce)").matches;

  const sign = (way) => `<svg width="18" height="18" viewBox="0 0 18 18" aria-hidden="true"><path d="${way}"/></svg>`;
  const start = (box, told) => {
    const map = L.map(box, {
      minZoom: 6, maxZoom: 18, zoomSnap: box.dataset.pin ? 1 : 0.25, zoomDelta: 1, zoomAnimation: !still, fadeAnimation: !still, markerZoomAnimation: !still,
      scrollWheelZoom: !box.dataset.pin, zoomControl: false,
    });
    L.control.zoom({ zoomInText: sign("M9 3v12M3 9h12"), zoomOutText: sign("M3 9h12") }).addTo(map);
    map.attributionControl.setPrefix(false);
    const tiles = box.dataset.tiles || TILES;
    L.tileLayer(told.names?.length ? `${tiles}?names=no` : tiles, { maxZoom: 18, attribution: told.credit || "", keepBuffer: 1 }).addTo(map);
    L.control.scale({ metric: Boolean(told.metric), imperial: !told.metric }).addTo(map);
    if (told.bounds) map.setMaxBounds(L.latLngBounds(told.bounds).pad(0.5));
    return map;
  };

  const mark = (text, kind) => {
    const words = Object.assign(document.createElement("span"), { textContent: text });
    return L.divIcon({ className: `map-mark ${kind}`, html: words, iconSize: [MARK, MARK], iconAnchor: [MARK / 2, kind === "pin" ? 36 : MARK / 2] });
  };

  // What the buttons, the scale and the credit cover, as boxes: left, top, right, bottom.
  const covered = (map) => {
    const edges = map.getContainer().getBoundingClientRect(), corner = map.containerPointToLayerPoint([0, 0]);
    return [...map.getContainer().querySelectorAll(".leaflet-control")].map((one) => {
      const box = one.getBoundingClientRect(), x = corner.x - edges.left, y = corner.y - edges.top;
      return [box.left + x, box.top + y, box.right + x, box.bottom + y];
    });
  };
  const meets = (one, other) => one[0] < other[2] && other[0] < one[2] && one[1] < other[3] && other[1] < one[3];
  const around = ({ x, y }, wide, high) => [x - wide, y - high, x + wide, y + high];
  // The whole of it in sight, none of its places below a button where more room beside them helps.
  const frame = (map, bounds, spots) => {
    for (const more of [0, 28]) {
      map.fitBounds(bounds, { paddingTopLeft: [ROOM + more, ROOM], paddingBottomRight: [ROOM, FOOT], maxZoom: 15, animate: false });
      const boxes = covered(map);
      if (!spots.some((spot) => boxes.some((box) => meets(box, around(map.latLngToLayerPoint(spot), MARK / 2, MARK / 2))))) return;
    }
  };

  // A pin stands on its place, or moves out around it to the nearest free spot, on a leader line.
  const RINGS = [0, 38, 56, 76, 100, 128], TURNS = 16;
  const free = (at, taken, boxes, inside) => {
    const stays = inside(at); // one that is in sight stays in sight
    for (const ring of RINGS) {
      for (let turn = 0; turn < (ring ? TURNS : 1); turn += 1) {
        const spot = at.add([ring * Math.cos((turn * 2 * Math.PI) / TURNS), ring * Math.sin((turn * 2 * Math.PI) / TURNS)]);
        if ((stays && !inside(spot)) || boxes.some((box) => meets(box, around(spot, MARK / 2, MARK / 2)))) continue;
        if (taken.every((other) => Math.abs(other.x - spot.x) >= MARK + GAP || Math.abs(other.y - spot.y) >= MARK + GAP)) return spot;
      }
    }
    return at;
  };
  const pins = (map, halts, layer) => {
    const taken = [], boxes = covered(map), size = map.getSize(), half = MARK / 2;
    const inside = (spot) => { const { x, y } = map.layerPointToContainerPoint(spot); return x >= half && y >= half && x <= size.x - half && y <= size.y - half; };
    const plain = ({ properties: { kind, mark: text } }) => kind === "yard" && !text; // a small square, named beside it
    for (const { geometry: { coordinates: [lon, lat] }, properties: { name } } of halts.filter(plain)) {
      const at = map.latLngToLayerPoint([lat, lon]);
      taken.push(at);
      const icon = L.divIcon({ className: "map-mark yard plain", html: "", iconSize: [14, 14] });
      const yard = L.marker([lat, lon], { icon, title: name }).bindPopup(Object.assign(document.createElement("span"), { textContent: name }));
      yard.on("add", () => yard.getElement().setAttribute("aria-label", name));
      yard.addTo(layer);
    }
    for (const { geometry: { coordinates: [lon, lat] }, properties: { mark: text, name, kind, run = 0 } } of halts.filter((one) => !plain(one))) {
      const at = map.latLngToLayerPoint([lat, lon]), spot = free(at, taken, boxes, inside);
      taken.push(spot);
      const there = map.layerPointToLatLng(spot);
      if (spot.distanceTo(at) > 1) {
        L.polyline([[lat, lon], there], { className: "map-leader", interactive: false }).addTo(layer);
        L.circleMarker([lat, lon], { className: "map-place", radius: 4, interactive: false }).addTo(layer);
      }
      const words = Object.assign(document.createElement("span"), { textContent: name });
      const pin = L.marker(there, { icon: mark(text, kind === "yard" ? "yard" : `stop run-${RUNS[run % 3]}`), title: name, riseOnHover: true }).bindPopup(words);
      pin.on("add", () => pin.getElement().setAttribute("aria-label", `${text} ${name}`));
      pin.on("click", () => { if (map.getZoom() < NEAR_ZOOM - 1) map.setView([lat, lon], NEAR_ZOOM - 1); });
      pin.addTo(layer);
    }
    return taken;
  };

  const width = (pen, family, name, rank) => { pen.font = `${rank >= 7 ? "700 14px" : "600 12px"} ${family}`; return pen.measureText(name).width; };
  // Names are written where no pin and no larger name stands: below their place, above, or beside it.
  const names = (map, told, taken, layer) => {
    const pen = document.createElement("canvas").getContext("2d"), family = getComputedStyle(map.getContainer()).fontFamily;
    const boxes = [...covered(map), ...taken.map((pin) => around(pin, MARK / 2 + 2, MARK / 2 + 2))], zoom = map.getZoom();
    for (const [name, lat, lon, rank] of told || []) {
      if (zoom >= NEAR_ZOOM || (rank < 7 && zoom < (rank === YARD ? 8 : rank >= 6 ? 10 : 12))) continue;
      const at = map.latLngToLayerPoint([lat, lon]), half = width(pen, family, name, rank) / 2 + 4;
      const size = map.getSize(), inside = (spot) => { const { x, y } = map.layerPointToContainerPoint(spot); return x > half && x < size.x - half && y > 9 && y < size.y - 24; };
      if (!map.getBounds().contains([lat, lon])) continue;
      const spots = [[0, 0], [0, 24], [0, -24], [half + 20, 0], [-half - 20, 0], [0, 42], [0, -42], [half + 56, 0], [-half - 56, 0], [0, 64], [0, -64]].map(([x, y]) => at.add([x, y])).filter(inside);
      const clear = spots.find((spot) => !boxes.some((box) => meets(box, around(spot, half, 9))));
      if (!clear) continue;
      boxes.push(around(clear, half, 9));
      const words = Object.assign(document.createElement("span"), { textContent: name });
      const icon = L.divIcon({ className: `map-name${rank >= 7 ? " town" : ""}`, html: words, iconSize: [2 * half, 18] });
      L.marker(map.layerPointToLatLng(clear), { icon, interactive: false, keyboard: false }).addTo(layer);
    }
  };

  // Each way keeps to its right, so that there and back lie side by side, with arrows along it.
  const beside = (points) => points.map((point, place) => {
    const before = points[Math.max(place - 1, 0)], after = points[Math.min(place + 1, points.length - 1)];
    const size = before.distanceTo(after) || 1;
    return point.add([-(after.y - before.y) / size * SIDE, (after.x - before.x) / size * SIDE]);
  });
  const arrows = (map, points, style, layer) => {
    const long = points.slice(1).reduce((sum, point, place) => sum + point.distanceTo(points[place]), 0);
    const count = long > 24 ? Math.max(1, Math.floor(long / ARROW_EVERY)) : 0;
    let gone = 0, next = 0;
    for (let place = 1; place < points.length && next < count; place += 1) {
      const start = points[place - 1], end = points[place], step = start.distanceTo(end);
      while (next < count && step && gone + step >= long * (next + 0.5) / count) {
        const share = (long * (next + 0.5) / count - gone) / step, ahead = end.subtract(start).divideBy(step), side = L.point(-ahead.y, ahead.x);
        const tip = start.add(end.subtract(start).multiplyBy(share));
        const corners = [tip.add(ahead.multiplyBy(7)), tip.add(side.multiplyBy(6)).subtract(ahead.multiplyBy(5)), tip.subtract(side.multiplyBy(6)).subtract(ahead.multiplyBy(5))];
        L.polygon(corners.map((corner) => map.layerPointToLatLng(corner)), { className: `map-arrow ${style}`, interactive: false }).addTo(layer);
        next += 1;
      }
      gone += step;
    }
  };
  const ways = (map, legs, layer) => {
    for (const leg of legs) {
      const points = beside(leg.geometry.coordinates.map(([lon, lat]) => map.latLngToLayerPoint([lat, lon])));
      const spots = points.map((point) => map.layerPointToLatLng(point)), style = `run-${RUNS[(leg.properties.run || 0) % 3]}`;
      L.polyline(spots, { className: "map-way-casing", interactive: false }).addTo(layer);
      L.polyline(spots, { className: `map-way ${style}${leg.properties.estimated ? " guessed" : ""}`, interactive: false }).addTo(layer);
      arrows(map, points, style, layer);
    }
  };

  const drawRoute = (box, told) => {
    const map = start(box, told);
    const features = told.features.features;
    const legs = features.filter((one) => one.geometry.type === "LineString");
    const halts = features.filter((one) => one.geometry.type === "Point");
    const drawn = L.layerGroup().addTo(map);
    let shown = null; // the one run that is looked at
    const isYard = ({ properties: { kind, mark: text } }) => kind === "yard" && !text; // all runs share them
    const of = (list) => list.filter((one) => shown === null || isYard(one) || (one.properties.run || 0) === shown);
    const written = L.layerGroup().addTo(map);
    let taken = [];
    const again = () => { drawn.clearLayers(); ways(map, of(legs), drawn); taken = pins(map, of(halts), drawn); write(); };
    const write = () => { written.clearLayers(); names(map, [...yards(), ...(told.names || [])].sort((one, other) => other[3] - one[3]), taken, written); };
    const yards = () => halts.filter(isYard).map(({ geometry: { coordinates: [lon, lat] }, properties: { name } }) => [name, lat, lon, YARD]);
    const look = (run) => {
      shown = run;
      const spots = of(halts).filter((one) => legs.length || !isYard(one)).map(({ geometry: { coordinates: [lon, lat] } }) => [lat, lon]);
      const bounds = L.latLngBounds(spots);
      for (const leg of of(legs)) for (const [lon, lat] of leg.geometry.coordinates) bounds.extend([lat, lon]);
      if (bounds.isValid()) frame(map, bounds, spots);
      else if (told.bounds) map.fitBounds(told.bounds);
      else map.setView([0, 0], 6);
      again();
    };
    look(null);
    map.on("zoomend", again);
    map.on("moveend", write);
    // Links beside the map that look at one run; without this script each opens the page with that run drawn.
    const links = box.closest("figure")?.querySelectorAll("a[data-run]") || [];
    for (const link of links) {
      link.addEventListener("click", (event) => {
        event.preventDefault();
        for (const other of links) other.removeAttribute("aria-current");
        link.setAttribute("aria-current", "true");
        look(link.dataset.run === "" ? null : Number(link.dataset.run));
      });
    }
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
    else if (told.center) { // the whole of a small map at once, and no farther out than a drive on a large one
      const whole = told.bounds ? map.getBoundsZoom(told.bounds) : 10;
      map.setView(whole > 10 ? L.latLngBounds(told.bounds).getCenter() : told.center, Number(box.dataset.zoom || Math.max(whole, 10)));
    }
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
