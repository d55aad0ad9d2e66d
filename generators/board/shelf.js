"use strict";
// The shop's shelf: its things with their pictures, and the places of the spec one of them goes to.
window.shelf = ({ set, goto }) => {
  const room = document.getElementById("shelf");
  const list = document.getElementById("shelf-things");
  const places = document.getElementById("shelf-places");
  const said = document.getElementById("shelf-said");
  let asked = 0;

  const element = (name, given = {}, ...inside) => {
    const out = Object.assign(document.createElement(name), given);
    out.append(...inside);
    return out;
  };
  const picture = (text) => {
    const svg = new DOMParser().parseFromString(text, "image/svg+xml").documentElement;
    const out = document.importNode(svg, true);
    out.setAttribute("role", "img");
    return out;
  };

  const place = (one, things) => {
    const label = element("label", { textContent: `${one.what}${one.times > 1 ? `, in ${one.times} places` : ""} ` });
    const choice = element("select");
    choice.dataset.path = one.path;
    const names = one.fits.includes(one.now) ? one.fits : [one.now, ...one.fits];
    choice.append(...names.map((name) => new Option((things.get(name) || { title: name }).title, name, false, name === one.now)));
    choice.addEventListener("change", () => set(one.path, choice.value));
    label.append(choice);
    const line = element("button", { type: "button", textContent: `Line ${one.line}` });
    line.addEventListener("click", () => goto(one.line));
    return element("p", {}, label, line);
  };
  const thing = (one, given) => {
    const row = element("li");
    row.dataset.thing = one.name;
    row.append(picture(one.svg), element("strong", { textContent: one.title }), element("p", { textContent: one.figures.join(", ") }));
    row.append(element("p", { className: "measured", textContent: [`Measured ${one.measured}`, one.where, one.note].filter(Boolean).join("; ") }));
    for (const at of given.places.filter((each) => each.fits.includes(one.name))) {
      const here = at.now === one.name;
      const button = element("button", { type: "button", textContent: here ? `Is the ${at.what}` : `Take as ${at.what}`, disabled: here });
      button.setAttribute("aria-label", `${button.textContent}: ${one.title}`);
      button.addEventListener("click", () => set(at.path, one.name));
      row.append(button);
    }
    return row;
  };
  const paint = (given) => {
    room.hidden = !given.things.length && !given.fault;
    said.textContent = given.fault || `${given.things.length} things in ${given.file}`;
    const things = new Map(given.things.map((one) => [one.name, one]));
    // what is in the hand stays in it
    const active = document.activeElement;
    const held = active && places.contains(active) ? active.dataset.path : "";
    places.replaceChildren(...given.places.map((one) => place(one, things)));
    const again = held && [...places.querySelectorAll("select")].find((one) => one.dataset.path === held);
    if (again) again.focus({ preventScroll: true });
    list.replaceChildren(...given.things.map((one) => thing(one, given)));
    room.dataset.shown = given.digest;
  };
  const show = async () => {
    const mine = ++asked;
    const answer = await fetch("shelf");
    if (!answer.ok || mine !== asked) return;
    paint(await answer.json());
  };
  return { show };
};
