// The phone's own place on the kept drawing of the run: works without signal, follows as the rig drives.
(() => {
  "use strict";
  const TILE = 256, MOST_LAT = 85.0511, CLOSER = 2, DOT = 7;
  const drawing = (bar) => bar.previousElementSibling?.querySelector("svg[data-zoom]");
  const spotOn = (svg, lat, lon) => {
    const size = TILE * 2 ** Number(svg.dataset.zoom), turned = Math.max(-MOST_LAT, Math.min(MOST_LAT, lat)) * Math.PI / 180;
    return [(lon + 180) / 360 * size - Number(svg.dataset.left), (1 - Math.asinh(Math.tan(turned)) / Math.PI) / 2 * size - Number(svg.dataset.top)];
  };
  if (!("geolocation" in navigator)) return;
  document.querySelectorAll("[data-here]").forEach((bar) => {
    const svg = drawing(bar), [show, closer] = bar.querySelectorAll("button"), said = bar.querySelector("[role=status]");
    if (!svg) return;
    const whole = svg.getAttribute("viewBox"), [, , width, height] = whole.split(" ").map(Number);
    let at = null, watch = null;
    const look = () => {
      const near = closer.getAttribute("aria-pressed") === "true" && at;
      const wide = width / CLOSER, high = height / CLOSER;
      svg.setAttribute("viewBox", near ? `${at[0] - wide / 2} ${at[1] - high / 2} ${wide} ${high}` : whole);
      svg.querySelector(".here")?.setAttribute("r", near ? DOT / CLOSER : DOT);
    };
    const moved = ({ coords }) => {
      at = spotOn(svg, coords.latitude, coords.longitude);
      let dot = svg.querySelector(".here");
      if (!dot) {
        dot = document.createElementNS("http://www.w3.org/2000/svg", "circle");
        dot.setAttribute("class", "here");
        svg.append(dot);
      }
      dot.setAttribute("cx", at[0].toFixed(1));
      dot.setAttribute("cy", at[1].toFixed(1));
      const isOn = at[0] >= 0 && at[0] <= width && at[1] >= 0 && at[1] <= height;
      said.textContent = isOn ? "" : bar.dataset.off;
      closer.hidden = !isOn;
      if (!isOn) closer.setAttribute("aria-pressed", "false");
      look();
    };
    bar.hidden = false;
    show.addEventListener("click", () => {
      if (watch !== null) return;
      watch = navigator.geolocation.watchPosition(moved, (error) => {
        said.textContent = bar.dataset.none;
        if (error.code !== error.PERMISSION_DENIED) return; // under trees and roofs it comes back by itself
        navigator.geolocation.clearWatch(watch);
        watch = null;
      }, { enableHighAccuracy: true, maximumAge: 5000 });
    });
    closer.addEventListener("click", () => {
      closer.setAttribute("aria-pressed", closer.getAttribute("aria-pressed") === "true" ? "false" : "true");
      look();
    });
  });
})();
