// Small comforts on top of pages that work without them.
(() => {
  "use strict";
  // Copy a ready-made message.
  document.addEventListener("click", (event) => {
    const button = event.target.closest("[data-copy]");
    if (!button) return;
    const text = document.getElementById(button.dataset.copy)?.textContent ?? "";
    navigator.clipboard?.writeText(text.trim()).then(() => {
      const said = button.textContent;
      button.textContent = button.dataset.done || "Copied";
      setTimeout(() => { button.textContent = said; }, 2000);
    });
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
  // Print.
  document.addEventListener("click", (event) => { if (event.target.closest("[data-print]")) window.print(); });
  document.body.dataset.ready = "1";
})();
