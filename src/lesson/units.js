(() => {
  const root = document.documentElement;
  const group = document.currentScript.parentElement.querySelector(".foldmark-units[hidden]");
  const key = "foldmark-units";
  const show = (unit) => {
    root.dataset.foldmark = unit;
    for (const button of document.querySelectorAll(".foldmark-units button")) {
      button.setAttribute("aria-pressed", button.value === unit);
    }
  };
  group.hidden = false;
  group.addEventListener("click", (event) => {
    const unit = event.target.value;
    if (!unit) return;
    show(unit);
    try { localStorage.setItem(key, unit); } catch { /* Then it is for this page only. */ }
  });
  try {
    const unit = localStorage.getItem(key);
    if (unit === "inch" || unit === "metric") show(unit);
  } catch { /* Then the page stays as it is. */ }
})();
