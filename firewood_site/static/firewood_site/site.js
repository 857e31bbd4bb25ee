// Small comforts on top of pages that work without them.
(() => {
  "use strict";
  // Copy a ready-made message.
  document.addEventListener("click", (event) => {
    const button = event.target.closest("[data-copy]");
    if (!button) return;
    const text = document.getElementById(button.dataset.copy)?.textContent ?? "";
    navigator.clipboard?.writeText(text.trim()).then(() => {
      const label = button.textContent;
      button.textContent = button.dataset.done || "Copied";
      setTimeout(() => { button.textContent = label; }, 2000);
    });
  });
  // A message opened in the phone's own messages counts as told; "Not told after all" puts it back.
  document.addEventListener("click", (event) => {
    const link = event.target.closest("a[data-tell]"), form = link?.closest("form");
    if (!form) return;
    const said = new FormData(form);
    said.set("act", "told");
    fetch(form.action, { method: "POST", body: said }).then((answer) => { if (answer.ok) window.location.reload(); });
  });
  // A menu closes when something else is touched.
  document.addEventListener("click", (event) => {
    document.querySelectorAll("details.menu[open]").forEach((menu) => {
      if (!menu.contains(event.target)) menu.open = false;
    });
  });
  document.addEventListener("keydown", (event) => {
    if (event.key !== "Escape") return;
    document.querySelectorAll("details.menu[open]").forEach((menu) => { menu.open = false; menu.querySelector("summary")?.focus(); });
  });
  // Ask before what can't be undone.
  document.addEventListener("submit", (event) => {
    const words = event.submitter?.dataset.sure || event.target.dataset.sure;
    if (words && !window.confirm(words)) event.preventDefault();
  });
  // What is wrong in a fold-out must not stay folded away.
  document.addEventListener("invalid", (event) => {
    for (let fold = event.target.closest("details"); fold; fold = fold.parentElement.closest("details")) fold.open = true;
  }, true);
  // A wide screen has room for what a phone folds away.
  const isWide = window.matchMedia("(min-width: 60rem)").matches;
  document.querySelectorAll("details[data-wide]").forEach((fold) => { fold.open = fold.open || isWide; });
  // So does paper, with or without this script.
  document.querySelectorAll("details[data-paper]").forEach((fold) => {
    fold.open = isWide;
    window.addEventListener("beforeprint", () => { fold.open = true; });
  });
  // What a link leads to must not stay folded away.
  const unfold = () => {
    const there = window.location.hash.length > 1 && document.getElementById(window.location.hash.slice(1));
    for (let fold = there && there.closest("details"); fold; fold = fold.parentElement.closest("details")) fold.open = true;
    if (there) there.scrollIntoView();
  };
  window.addEventListener("hashchange", unfold);
  unfold();
  // One tap in place of typing what is due.
  for (const button of document.querySelectorAll("[data-fill]")) {
    button.hidden = false;
    button.addEventListener("click", () => { button.form.elements[button.dataset.fill].value = button.dataset.value; });
  }
  // Print.
  document.addEventListener("click", (event) => { if (event.target.closest("[data-print]")) window.print(); });
  document.body.dataset.ready = "1";
})();
