"use strict";
// Ticks, units and the next step. All of it is an addition: without it every step can be read.
(() => {
  const root = document.documentElement;
  const key = "pedalplate:" + root.dataset.job + ":" + root.dataset.revision;
  const boxes = [...document.querySelectorAll(".step input[type=checkbox]")];
  const bar = document.querySelector(".bar");
  const next = document.getElementById("next");
  const said = document.getElementById("kept");

  // a browser may refuse to keep anything for a file, or throw when asked
  let kept = null;
  try {
    kept = window.localStorage;
    kept.setItem(key + ":try", "1");
    kept.removeItem(key + ":try");
  } catch (refused) {
    kept = null;
  }
  const read = (name) => {
    try {
      return kept === null ? null : kept.getItem(key + ":" + name);
    } catch (refused) {
      return null;
    }
  };
  const write = (name, value) => {
    try {
      if (kept !== null) kept.setItem(key + ":" + name, value);
    } catch (refused) {
      kept = null;
      tell();
    }
  };
  const tell = () => {
    said.textContent =
      kept === null
        ? "This browser keeps no ticks for this file: they are gone when the page is closed."
        : "Ticks are kept on this device, for this revision only.";
  };

  const show = () => {
    const open = boxes.filter((box) => !box.checked);
    for (const box of boxes) box.closest(".step").classList.toggle("done", box.checked);
    const count = boxes.length - open.length;
    document.getElementById("count").textContent = count + " of " + boxes.length + " steps done";
    document.getElementById("share").style.setProperty("width", (100 * count) / Math.max(boxes.length, 1) + "%");
    next.textContent = open.length ? "Next: step " + open[0].value : "All done";
    next.setAttribute("href", open.length ? "#step-" + open[0].value : "#top");
  };
  next.addEventListener("click", (event) => {
    const open = boxes.find((box) => !box.checked);
    if (!open) return;
    event.preventDefault();
    open.closest(".step").scrollIntoView({ block: "start" });
    open.focus({ preventScroll: true });
  });

  let ticked = [];
  try {
    ticked = JSON.parse(read("done") || "[]");
  } catch (spoiled) {
    ticked = [];
  }
  if (!Array.isArray(ticked)) ticked = [];
  for (const box of boxes) {
    box.checked = ticked.includes(box.value);
    box.addEventListener("change", () => {
      write("done", JSON.stringify(boxes.filter((one) => one.checked).map((one) => one.value)));
      show();
    });
  }

  const clear = document.getElementById("clear");
  clear.addEventListener("click", () => {
    if (clear.dataset.sure !== "yes") {
      clear.dataset.sure = "yes";
      clear.textContent = "Really take all ticks off?";
      return;
    }
    clear.dataset.sure = "";
    clear.textContent = "Take all ticks off";
    for (const box of boxes) box.checked = false;
    write("done", "[]");
    show();
  });

  const units = [...document.querySelectorAll(".units button")];
  const choose = (unit) => {
    root.dataset.units = unit;
    for (const button of units) button.setAttribute("aria-pressed", String(button.value === unit));
  };
  const first = read("units");
  choose(first === "mm" || first === "in" ? first : root.dataset.first);
  for (const button of units) {
    button.addEventListener("click", () => {
      choose(button.value);
      write("units", button.value);
    });
  }

  for (const slide of document.querySelectorAll("[data-middle]")) {
    slide.scrollLeft = Number(slide.dataset.middle) * slide.scrollWidth - slide.clientWidth / 2;
  }
  for (const hidden of document.querySelectorAll("[data-script]")) hidden.hidden = false;
  bar.hidden = false;
  tell();
  show();
})();
