// Before the first paint: the theme and the unit this browser chose, so that nothing flashes or moves.
(() => {
  const root = document.documentElement;
  let kept = {};
  try {
    kept = { theme: localStorage.getItem("theme"), unit: localStorage.getItem("unit") };
  } catch {
    // Storage may be forbidden; the defaults do.
  }
  if (kept.theme) root.dataset.theme = kept.theme;
  root.dataset.unit = kept.unit || root.dataset.unit || "C";
})();
