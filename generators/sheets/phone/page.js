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

  // a ticked step shows its order alone, until it is asked for
  const fold = (step, shut) => {
    const button = step.querySelector(".fold");
    if (!step.querySelector(".more")) return;
    step.classList.toggle("shut", shut);
    button.firstChild.textContent = shut ? "show" : "hide";
    button.setAttribute("aria-expanded", String(!shut));
    button.hidden = !step.classList.contains("done");
  };
  for (const button of document.querySelectorAll(".fold")) {
    button.addEventListener("click", () => {
      const step = button.closest(".step");
      fold(step, !step.classList.contains("shut"));
    });
  }

  const show = () => {
    const open = boxes.filter((box) => !box.checked);
    for (const box of boxes) {
      const step = box.closest(".step");
      if (step.classList.toggle("done", box.checked) !== step.classList.contains("told")) {
        step.classList.toggle("told", box.checked);
        fold(step, box.checked);
      }
    }
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

  // the papers name steps by number: typed here they are gone to
  const goto = document.getElementById("goto");
  goto.max = String(boxes.length);
  goto.addEventListener("change", () => {
    const there = document.getElementById("step-" + Number(goto.value));
    document.getElementById("nowhere").textContent = there ? "" : "steps 1 to " + boxes.length;
    if (!there) return;
    there.scrollIntoView({ block: "start" });
    there.querySelector("input").focus({ preventScroll: true });
    goto.value = "";
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

  // from a step to the list of holes and back to where one was
  const list = document.getElementById("list");
  const holes = document.getElementById("holes");
  let from = null;
  const at = () => {
    const steps = [...document.querySelectorAll(".step")];
    return steps.filter((step) => step.getBoundingClientRect().top < window.innerHeight / 6).pop() || null;
  };
  const inList = () => holes !== null && holes.getBoundingClientRect().top < window.innerHeight / 2;
  const lead = () => {
    if (list === null) return;
    const back = from !== null && inList();
    list.textContent = back ? "To step " + from.id.slice(5) : "Holes";
    list.setAttribute("href", back ? "#" + from.id : "#holes");
  };
  const leave = (step) => {
    if (step !== null) from = step;
  };
  if (list !== null) {
    list.addEventListener("click", () => {
      if (!inList()) leave(at());
    });
  }
  for (const link of document.querySelectorAll(".to-hole")) {
    link.addEventListener("click", () => leave(link.closest(".step")));
  }
  // a ticked step one is led to is opened
  const arrive = () => {
    const there = document.getElementById(decodeURIComponent(location.hash.slice(1)));
    if (there !== null && there.classList.contains("shut")) fold(there, false);
  };
  window.addEventListener("hashchange", arrive);
  window.addEventListener("scroll", lead, { passive: true });

  // a picture at its own size, to be slid
  const large = document.getElementById("large");
  const pane = large.querySelector(".pane");
  let asked = null;
  const enlarge = (picture) => {
    const drawn = picture.querySelector("svg");
    const copy = drawn.cloneNode(true);
    const wide = Math.max(Number(drawn.getAttribute("width")), 1.8 * drawn.getBoundingClientRect().width);
    copy.style.setProperty("width", wide + "px");
    pane.replaceChildren(copy);
    large.querySelector(".words").textContent = drawn.getAttribute("aria-label");
    asked = picture;
    if (typeof large.showModal === "function") large.showModal();
    else large.setAttribute("open", "");
    pane.scrollLeft = Number(picture.dataset.middle || 0.5) * pane.scrollWidth - pane.clientWidth / 2;
    pane.scrollTop = (pane.scrollHeight - pane.clientHeight) / 2;
    pane.focus();
  };
  for (const picture of document.querySelectorAll(".picture")) {
    picture.tabIndex = 0;
    picture.setAttribute("role", "button");
    picture.setAttribute("aria-label", picture.querySelector("svg").getAttribute("aria-label") + ": see it large");
    picture.addEventListener("click", () => enlarge(picture));
    // its words ask for it, so they do it as well
    if (picture.nextElementSibling) picture.nextElementSibling.addEventListener("click", () => enlarge(picture));
    picture.addEventListener("keydown", (event) => {
      if (event.key !== "Enter" && event.key !== " ") return;
      event.preventDefault();
      enlarge(picture);
    });
  }
  for (const button of large.querySelectorAll("[data-larger]")) {
    button.addEventListener("click", () => {
      const drawn = pane.querySelector("svg");
      if (drawn === null) return;
      const was = drawn.getBoundingClientRect().width;
      const wide = Math.min(Math.max(was * Number(button.dataset.larger), pane.clientWidth), 8 * pane.clientWidth);
      // what is in the middle stays there
      const at = [pane.scrollLeft + pane.clientWidth / 2, pane.scrollTop + pane.clientHeight / 2];
      drawn.style.setProperty("width", wide + "px");
      pane.scrollLeft = (at[0] * wide) / was - pane.clientWidth / 2;
      pane.scrollTop = (at[1] * wide) / was - pane.clientHeight / 2;
    });
  }
  large.querySelector("[data-closes]").addEventListener("click", () => {
    if (typeof large.close === "function") large.close();
    else large.removeAttribute("open");
  });
  large.addEventListener("close", () => {
    if (large.open) return;
    pane.replaceChildren();
    if (asked) asked.focus();
  });

  for (const hidden of document.querySelectorAll("[data-script]")) hidden.hidden = false;
  bar.hidden = false;
  tell();
  show();
  arrive();
})();
