"use strict";
// A picture with what can be taken hold of on it: dragged, or moved by the arrow keys; the server writes and draws.
window.pictures = ({ choose, move, finding, released }) => {
  let holding = false;
  const SPACE = "http://www.w3.org/2000/svg";
  const shape = (name, attributes) => {
    const out = document.createElementNS(SPACE, name);
    for (const [key, value] of Object.entries(attributes)) out.setAttribute(key, value);
    return out;
  };
  // what is set by hand: 1 mm, or 1/16 in where people measure in inches
  const STEP = { metric: 1, inch: 25.4 / 16 };
  const WIDE = 160; // mm of a picture that fills the room
  const words = (u, v, units) => {
    const length = (mm) => (units === "inch" ? `${(Math.abs(mm) / 25.4).toFixed(3)} in` : `${Math.abs(mm).toFixed(1)} mm`);
    const parts = [];
    if (Math.abs(u) > 1e-9) parts.push(`${length(u)} ${u > 0 ? "right" : "left"}`);
    if (Math.abs(v) > 1e-9) parts.push(`${length(v)} ${v > 0 ? "up" : "down"}`);
    return parts.join(", ") || "not moved";
  };

  const parse = (text) => {
    const svg = new DOMParser().parseFromString(text, "image/svg+xml").documentElement;
    const out = document.importNode(svg, true);
    for (const node of [...out.children].filter((one) => ["title", "desc"].includes(one.localName))) node.remove();
    out.setAttribute("class", "drawn");
    out.setAttribute("aria-hidden", "true");
    out.removeAttribute("width");
    out.removeAttribute("height");
    return out;
  };

  const hold = (over, node, handle, picture, units) => {
    const [perU, perV] = picture.frame;
    const unit = STEP[units] || 1;
    const told = shape("text", { class: "told" });
    let from = null;
    let by = { u: 0, v: 0 };
    const at = (event) => {
      const point = new DOMPoint(event.clientX, event.clientY).matrixTransform(over.getScreenCTM().inverse());
      return { x: point.x, y: point.y };
    };
    const shown = () => {
      const same = [...over.querySelectorAll(".handle")].filter((one) => one.dataset.thing === handle.thing);
      for (const one of same) {
        if (by.u || by.v) one.setAttribute("transform", `translate(${by.u * perU} ${-by.v * perV})`);
        else one.removeAttribute("transform");
        one.classList.toggle("held", from !== null);
      }
    };
    node.addEventListener("pointerdown", (event) => {
      if (event.button) return;
      node.focus({ preventScroll: true });
      choose(handle);
      if (!handle.moves) return;
      event.preventDefault();
      node.setPointerCapture(event.pointerId);
      from = at(event);
      holding = true;
      by = { u: 0, v: 0 };
    });
    node.addEventListener("pointermove", (event) => {
      if (!from) return;
      const here = at(event);
      const step = event.altKey ? unit / 10 : unit;
      const snapped = (mm) => Math.round(mm / step) * step;
      by = { u: snapped((here.x - from.x) / perU), v: snapped((from.y - here.y) / perV) };
      told.textContent = words(by.u, by.v, units);
      told.setAttribute("x", here.x + 3);
      told.setAttribute("y", here.y - 3);
      over.append(told);
      shown();
    });
    const letGo = () => {
      from = null;
      holding = false;
      told.remove();
    };
    const end = (event) => {
      if (!from) return;
      letGo();
      const wanted = by;
      if (event.type !== "pointerup") by = { u: 0, v: 0 };
      shown();
      if (event.type === "pointerup" && (wanted.u || wanted.v)) {
        move(handle, wanted.u, wanted.v, () => {
          by = { u: 0, v: 0 };
          shown();
        });
      }
      released();
    };
    node.addEventListener("pointerup", end);
    node.addEventListener("pointercancel", end);
    node.addEventListener("lostpointercapture", end);
    node.addEventListener("focus", () => choose(handle));
    node.addEventListener("keydown", (event) => {
      if (event.key === "Escape" && from) {
        by = { u: 0, v: 0 };
        letGo();
        shown();
        released();
        return;
      }
      const ways = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, 1], ArrowDown: [0, -1] };
      const way = ways[event.key];
      if (!way || !handle.moves || event.ctrlKey || event.metaKey) return;
      event.preventDefault();
      const far = unit * (event.shiftKey ? 10 : event.altKey ? 0.1 : 1);
      // right is right as it is seen, on either face
      move(handle, way[0] * far * Math.sign(perU), way[1] * far * Math.sign(perV), () => {});
    });
  };

  // one picture with its handles; sizes are mm of the picture
  const figure = (picture, { units, chosen, zoom, old }) => {
    const [width, height] = picture.size;
    const out = document.createElement("figure");
    out.dataset.name = picture.name;
    out.classList.toggle("old", old);
    const paper = document.createElement("div");
    paper.className = "paper";
    const room = document.createElement("div");
    room.style.width = `${Math.min(1, Math.max(0.5, width / WIDE)) * zoom * 100}%`;
    room.append(parse(picture.svg));
    if (picture.handles.length || picture.pins.length) {
      const over = shape("svg", { viewBox: `0 0 ${width} ${height}`, class: "over", role: "group", "aria-label": picture.title });
      for (const handle of picture.handles) {
        const node = handle.d
          ? shape("path", { d: handle.d })
          : shape("circle", { cx: handle.x, cy: handle.y, r: handle.r });
        node.setAttribute("class", handle.moves ? "handle moves" : "handle");
        node.classList.toggle("chosen", Boolean(chosen) && handle.thing === chosen);
        node.setAttribute("tabindex", "0");
        node.setAttribute("role", "button");
        node.setAttribute("aria-label", handle.moves ? `${handle.title}: drag, or arrow keys` : handle.title);
        node.dataset.thing = handle.thing;
        node.dataset.title = handle.title;
        hold(over, node, handle, picture, units);
        over.append(node);
      }
      for (const pin of picture.pins) {
        const node = shape("rect", { x: pin.x, y: pin.y, width: pin.wide, height: pin.tall, class: "pin", tabindex: 0, role: "button" });
        node.setAttribute("aria-label", `finding ${pin.number}`);
        node.dataset.number = pin.number;
        node.addEventListener("click", () => finding(pin.number));
        node.addEventListener("keydown", (event) => {
          if (event.key === "Enter") finding(pin.number);
        });
        over.append(node);
      }
      room.append(over);
    }
    paper.append(room);
    const words_ = document.createElement("figcaption");
    words_.textContent = `${picture.title}${old ? "; before the last change" : ""}`;
    out.append(paper, words_);
    return out;
  };
  return { figure, parse, held: () => holding };
};
