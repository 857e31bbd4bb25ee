// The moving map of a run: the planned way over tiles kept on the phone, where the phone is, and the next turn.
// <div data-moving="ID"> holds a drawn map, which stays where this script does not run; the JSON script ID holds
// the legs (mark, encoded line, over or not) and the halts (mark, latitude, longitude).
(() => {
  "use strict";
  const TILE = 256, KEPT_ZOOMS = [10, 12, 14], LEAST = 9, MOST = 16, CLOSE = 15, OFF = 120, DOT = 9, PIN = 15, FOOT = 20;
  const M_MILE = 1609.344, M_FOOT = 0.3048, PASSED = 20, TO_RADIANS = Math.PI / 180, EARTH = 6371008;
  const NS = "http://www.w3.org/2000/svg";

  const decode = (text) => { // the encoded polyline, at six digits
    const spots = [], numbers = [0, 0];
    for (let at = 0; at < text.length;) {
      for (const axis of [0, 1]) {
        let shift = 0, value = 0, bits;
        do { bits = text.charCodeAt(at) - 63; at += 1; value |= (bits & 31) << shift; shift += 5; } while (bits >= 32);
        numbers[axis] += value & 1 ? ~(value >> 1) : value >> 1;
      }
      spots.push([numbers[0] / 1e6, numbers[1] / 1e6]);
    }
    return spots;
  };
  const world = ([lat, lon], zoom) => {
    const size = TILE * 2 ** zoom;
    return [(lon + 180) / 360 * size, (1 - Math.asinh(Math.tan(lat * TO_RADIANS)) / Math.PI) / 2 * size];
  };
  const made = (name, attributes, parent) => {
    const element = document.createElementNS(NS, name);
    for (const [key, value] of Object.entries(attributes)) element.setAttribute(key, value);
    parent.append(element);
    return element;
  };

  // Meters along a line to the spot of it that is nearest, and how far off that is.
  const nearest = (line, [lat, lon]) => {
    const wide = Math.cos(lat * TO_RADIANS) * EARTH * TO_RADIANS, high = EARTH * TO_RADIANS;
    let best = { off: Infinity, along: 0 }, gone = 0;
    for (let place = 1; place < line.length; place += 1) {
      const [x, y] = [(line[place - 1][1] - lon) * wide, (line[place - 1][0] - lat) * high];
      const [dx, dy] = [(line[place][1] - line[place - 1][1]) * wide, (line[place][0] - line[place - 1][0]) * high];
      const long = Math.hypot(dx, dy), share = long ? Math.min(1, Math.max(0, -(x * dx + y * dy) / (long * long))) : 0;
      const off = Math.hypot(x + share * dx, y + share * dy);
      if (off < best.off) best = { off, along: gone + share * long };
      gone += long;
    }
    return best;
  };

  const start = (box) => {
    const told = JSON.parse(document.getElementById(box.dataset.moving).textContent);
    const figure = box.querySelector("figure"), said = box.querySelector(".next-turn"), bar = box.querySelector(".cluster");
    const legs = told.legs.map(([mark, line, over]) => ({ mark, over, line: decode(line) }));
    const button = (name) => bar.querySelector(`[data-do="${name}"]`);
    const pane = document.createElement("div"), tiles = document.createElement("div"), over = document.createElementNS(NS, "svg");
    pane.className = "moving";
    pane.tabIndex = 0;
    pane.setAttribute("role", "group");
    pane.setAttribute("aria-label", figure.querySelector("svg")?.getAttribute("aria-label") || "");
    over.setAttribute("aria-hidden", "true");
    const credit = Object.assign(document.createElement("span"), { className: "credit", textContent: told.credit });
    pane.append(tiles, over, credit);
    figure.replaceChildren(pane);
    let zoom = LEAST, center = [0, 0], at = null, watch = null, follows = false;

    const whole = () => {
      const flat = legs.flatMap(({ line }) => line).map((spot) => world(spot, 0));
      const [xs, ys] = [flat.map(([x]) => x), flat.map(([, y]) => y)];
      const [left, right, top, bottom] = [Math.min(...xs), Math.max(...xs), Math.min(...ys), Math.max(...ys)];
      const fits = Math.log2(Math.min((pane.clientWidth - 40) / Math.max(right - left, 1e-6), (pane.clientHeight - 40) / Math.max(bottom - top, 1e-6)));
      zoom = Math.max(LEAST, Math.min(CLOSE, Math.floor(fits * 2) / 2));
      center = [(left + right) / 2, (top + bottom) / 2];
    };
    // Tiles of the nearest kept zoom, drawn larger or smaller; what the phone has not kept stays plain.
    const drawTiles = (left, top) => {
      const kept = [...KEPT_ZOOMS].reverse().find((one) => one <= zoom) || KEPT_ZOOMS[0], side = TILE * 2 ** (zoom - kept);
      const wanted = new Set();
      for (let x = Math.floor(left / side); x * side < left + pane.clientWidth; x += 1) {
        for (let y = Math.floor(top / side); y * side < top + pane.clientHeight; y += 1) {
          const path = `/roads/tiles/${kept}/${x}/${y}.svg?names=no`;
          wanted.add(path);
          let tile = tiles.querySelector(`[src="${path}"]`);
          if (!tile) {
            tile = Object.assign(document.createElement("img"), { alt: "", src: path, draggable: false });
            tile.addEventListener("error", () => { tile.style.visibility = "hidden"; });
            tiles.append(tile);
          }
          Object.assign(tile.style, { left: `${x * side - left}px`, top: `${y * side - top}px`, width: `${side + 0.5}px`, height: `${side + 0.5}px` });
        }
      }
      for (const tile of [...tiles.children]) if (!wanted.has(tile.getAttribute("src"))) tile.remove();
    };
    // A pin stands on its place, or moves out around it to the nearest free spot, on a leader line.
    const pinned = (spot) => told.halts.reduce((pins, [mark, lat, lon]) => {
      const [x, y] = spot([lat, lon]), spots = [[x, y]];
      for (const ring of [32, 46, 62, 80]) for (let turn = 0; turn < 12; turn += 1) spots.push([x + ring * Math.cos((turn * Math.PI) / 6), y + ring * Math.sin((turn * Math.PI) / 6)]);
      const free = spots.find((one) => pins.every(({ at: [left, top] }) => Math.hypot(one[0] - left, one[1] - top) >= 2 * PIN));
      return [...pins, { mark, place: [x, y], at: free || [x, y] }];
    }, []);
    // Names below, above or beside their place, where no pin and no larger name stands.
    const write = (spot, pins) => {
      const taken = pins.map(({ at: [x, y] }) => [x - PIN, y - PIN, x + PIN, y + PIN]);
      for (const [name, lat, lon, rank] of told.names) {
        if (rank < 7 && zoom < (rank >= 6 ? 10 : 12)) continue;
        const [x, y] = spot([lat, lon]), text = made("text", { class: `name${rank >= 7 ? " town" : ""}` }, over);
        text.textContent = name;
        const half = text.getComputedTextLength() / 2 + 3;
        const box = [[0, 0], [0, 26], [0, -26], [half + PIN, 0], [-half - PIN, 0], [0, 44], [0, -44], [half + 2 * PIN, 0], [-half - 2 * PIN, 0], [-half - PIN, 20], [half + PIN, 20], [0, 62], [0, -62]].map(([aside, down]) => [x + aside - half, y + down - 9, x + aside + half, y + down + 9])
          .find((one) => one[0] > 0 && one[1] > 0 && one[2] < pane.clientWidth && one[3] < pane.clientHeight - FOOT && !taken.some((other) => one[0] < other[2] && other[0] < one[2] && one[1] < other[3] && other[1] < one[3]));
        if (!box) { text.remove(); continue; }
        taken.push(box);
        text.setAttribute("x", (box[0] + box[2]) / 2);
        text.setAttribute("y", box[3] - 4);
      }
    };
    const draw = () => {
      const scale = 2 ** zoom, [left, top] = [center[0] * scale - pane.clientWidth / 2, center[1] * scale - pane.clientHeight / 2];
      drawTiles(left, top);
      const spot = (place) => { const [x, y] = world(place, zoom); return [x - left, y - top]; };
      over.replaceChildren();
      for (const kind of ["casing", "way"]) {
        for (const leg of legs) made("polyline", { class: `${kind}${leg.over ? " over" : ""}`, points: leg.line.map((place) => spot(place).map((part) => part.toFixed(1)).join(",")).join(" ") }, over);
      }
      const pins = pinned(spot);
      for (const { place: [x1, y1], at: [x2, y2] } of pins) if (x1 !== x2 || y1 !== y2) made("line", { class: "leader", x1, y1, x2, y2 }, over);
      for (const { mark, at: [x, y] } of pins) {
        made("circle", { class: "halt", cx: x, cy: y, r: 13 }, over);
        made("text", { class: "halt", x, y: y + 5 }, over).textContent = mark;
      }
      write(spot, pins);
      if (at) { const [x, y] = spot(at); made("circle", { class: "here", cx: x.toFixed(1), cy: y.toFixed(1), r: DOT }, over); }
    };

    const [long, short, step] = "metric" in box.dataset ? [1000, 1, 10] : [M_MILE, M_FOOT, 50];
    const far = (meters) => (meters < long / 10 ? box.dataset.short.replace("{count}", Math.round(meters / short / step) * step) : box.dataset.long.replace("{count}", (meters / long).toFixed(1)));
    const say = (text) => { said.hidden = !text; if (said.textContent !== text) said.textContent = text; };
    // The first drive still to come that passes here: there and back may share a road.
    const guide = () => {
      const open = legs.filter((leg) => !leg.over).map((leg) => ({ leg, ...nearest(leg.line, at) }));
      const here = open.filter(({ off }) => off < OFF);
      for (const { leg, along } of here) { // where one ends the next begins
        let ahead = -along;
        for (const turn of document.querySelectorAll(`[data-turns="${leg.mark}"] [data-meters]`)) {
          if (ahead > PASSED) return say(box.dataset.in.replace("{miles}", far(ahead)).replace("{turn}", turn.firstElementChild.textContent));
          ahead += Number(turn.dataset.meters);
        }
      }
      return say(open.length && !here.length ? box.dataset.off : "");
    };
    const moved = ({ coords }) => {
      at = [coords.latitude, coords.longitude];
      if (follows) center = world(at, 0);
      draw();
      guide();
    };
    const follow = (on) => {
      follows = on;
      button("follow").setAttribute("aria-pressed", String(on));
      if (on && at) { center = world(at, 0); zoom = Math.max(zoom, CLOSE); draw(); }
    };
    button("follow").addEventListener("click", () => {
      follow(!follows);
      zoom = follows ? Math.max(zoom, CLOSE) : zoom;
      if (watch !== null) return draw();
      if (!("geolocation" in navigator)) return say(box.dataset.none);
      watch = navigator.geolocation.watchPosition(moved, (error) => {
        say(box.dataset.none);
        if (error.code !== error.PERMISSION_DENIED) return; // under trees and roofs it comes back by itself
        navigator.geolocation.clearWatch(watch);
        watch = null;
      }, { enableHighAccuracy: true, maximumAge: 5000 });
    });
    const zoomBy = (step) => { zoom = Math.max(LEAST, Math.min(MOST, zoom + step)); draw(); };
    button("in").addEventListener("click", () => zoomBy(1));
    button("out").addEventListener("click", () => zoomBy(-1));
    button("whole").addEventListener("click", () => { follow(false); whole(); draw(); });
    const pan = (x, y) => { follow(false); center = [center[0] - x / 2 ** zoom, center[1] - y / 2 ** zoom]; draw(); };
    let held = null;
    pane.addEventListener("pointerdown", (event) => { held = [event.clientX, event.clientY]; pane.setPointerCapture(event.pointerId); });
    pane.addEventListener("pointermove", (event) => {
      if (!held) return;
      pan(event.clientX - held[0], event.clientY - held[1]);
      held = [event.clientX, event.clientY];
    });
    for (const end of ["pointerup", "pointercancel"]) pane.addEventListener(end, () => { held = null; });
    pane.addEventListener("keydown", (event) => {
      const step = { ArrowLeft: [60, 0], ArrowRight: [-60, 0], ArrowUp: [0, 60], ArrowDown: [0, -60] }[event.key];
      if (step) { event.preventDefault(); pan(...step); }
      else if (event.key === "+" || event.key === "=") zoomBy(1);
      else if (event.key === "-") zoomBy(-1);
    });
    bar.hidden = false;
    whole();
    draw();
    addEventListener("resize", draw);
    box.dataset.ready = "1";
  };
  document.querySelectorAll("[data-moving]").forEach(start);
})();
