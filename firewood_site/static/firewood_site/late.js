// New times for the rest of a run from the taps that wait on this phone, as routing/core/lateness.py reckons them;
// when to say so, the words and the clock come with the page.
// [data-times] holds the halts of a run; within it [data-halt="n"] is the time of halt n, [data-late] its badge.
(() => {
  "use strict";
  const DAY = 86400, ENDS = ["delivered", "no_show"], EVERY = 60000;
  let kept = [];

  const clock = (seconds, [morning, evening]) => { // in the words of two samples: 9:05 and 21:05
    const minutes = Math.floor(Math.max(0, Math.min(seconds, DAY - 1)) / 60 + 0.5) % 1440, hour = Math.floor(minutes / 60);
    const whole = evening.startsWith("21"), sample = hour < 12 ? morning : evening;
    return `${whole ? hour : hour % 12 || 12}:${String(minutes % 60).padStart(2, "0")}${whole ? "" : sample.slice(4)}`;
  };
  const wall = (moment, timeZone) => { // the date and the seconds of the day where the seller is
    const digits = { year: "numeric", month: "2-digit", day: "2-digit", hour: "2-digit", minute: "2-digit", second: "2-digit" };
    const parts = new Intl.DateTimeFormat("en", { timeZone, hourCycle: "h23", ...digits }).formatToParts(moment);
    const { year, month, day, hour, minute, second } = Object.fromEntries(parts.map(({ type, value }) => [type, value]));
    return { on: `${year}-${month}-${day}`, seconds: hour * 3600 + minute * 60 + Number(second) };
  };
  const long = (minutes) => [minutes >= 60 && `${Math.floor(minutes / 60)} h`, minutes % 60 && `${minutes % 60} min`].filter(Boolean).join(" ");

  // What was tapped here, put on the halts as the server will put it.
  const told = (run) => {
    const halts = run.halts.map(([name, drive, stay, opens, planned, leaves, arrived, done]) => ({ name, drive, stay, opens, planned, leaves, arrived, done }));
    let left = run.left;
    for (const event of kept) {
      const at = wall(new Date(event.at), run.zone).seconds, drop = halts.find(({ name }) => name === `drop ${event.stop}`);
      const isHere = String(event.run) === String(run.run);
      if (event.kind === "left" && isHere) left ??= at;
      else if (event.kind === "home" && isHere) halts.at(-1).done ??= at;
      else if (event.kind === "loaded") for (const halt of halts) if (halt.name === `load ${event.load}`) halt.done = at;
      if (!drop || drop.done !== null) continue;
      if (event.kind === "arrived") drop.arrived = at;
      else if (ENDS.includes(event.kind) || (event.kind === "trouble" && event.comes_home)) Object.assign(drop, { done: at, arrived: null });
    }
    let later = false; // a load is on once one of its drops is reached, ticked or not
    for (const halt of [...halts].reverse()) {
      if (later && halt.done === null && halt.name.startsWith("load")) halt.done = halt.leaves;
      later ||= halt.done !== null || halt.arrived !== null;
    }
    return { halts, left };
  };
  const newTimes = (halts, left, now) => {
    let reached = left;
    return halts.map(({ drive, stay, opens, planned, arrived, done }) => {
      const arrive = arrived ?? (done === null ? Math.max(reached + drive, now) : done - stay);
      reached = done ?? Math.max(Math.max(arrive, opens) + stay, now);
      return { arrive, late: Math.round((arrive - planned) / 60), done };
    });
  };

  const show = (box) => {
    const run = JSON.parse(box.dataset.times), { halts, left } = told(run);
    const { on, seconds } = wall(new Date(), run.zone), now = on === run.on ? Math.max(seconds, run.now) : run.now;
    const times = newTimes(halts, left ?? Math.max(run.leaves, now), now);
    times.forEach(({ arrive, late, done }, place) => {
      const when = box.querySelector(`[data-halt="${place}"]`);
      if (!when) return;
      when.textContent = clock(done !== null && halts[place].name.startsWith("drop") ? done : arrive, run.clock);
      const mark = when.closest("[data-stop], [data-load]")?.querySelector("[data-mark]");
      if (!mark) return;
      mark.querySelector("[data-late]")?.remove();
      const isLate = done === null && late >= run.say_late && halts[place].arrived === null;
      for (const other of mark.children) other.hidden = isLate;
      if (isLate) {
        mark.prepend(Object.assign(document.createElement("span"), { className: "badge warn", textContent: box.dataset.late.replace("{late}", long(late)) }));
        mark.firstChild.dataset.late = "";
      }
    });
    const next = times.find(({ done }) => done === null), behind = box.querySelector("[data-behind]");
    if (!behind) return;
    behind.hidden = !next || next.late < run.say_late;
    behind.textContent = next ? behind.dataset.behind.replace("{late}", long(next.late)).replace(/<[^>]*>/g, "") : "";
  };
  const all = () => document.querySelectorAll("[data-times]").forEach(show);
  document.addEventListener("kept", ({ detail }) => { kept = detail; all(); });
  setInterval(all, EVERY);
})();
