"use strict";
// The shop's shelf: its things with their pictures, and the places of the spec one of them goes to.
window.shelf = ({ set, take, goto }) => {
  const room = document.getElementById("shelf");
  const list = document.getElementById("shelf-things");
  const places = document.getElementById("shelf-places");
  const said = document.getElementById("shelf-said");
  const done = document.getElementById("shelf-done");
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

  // one name exchanged for another, or a thing in place of what the spec says itself
  const put = async (at, name) => {
    const told = await (at.now ? set(at.path, name) : take(at.path, name));
    done.textContent = told && !at.now ? `${told.words}.` : "";
  };
  const place = (one, things) => {
    const label = element("label", { textContent: `${one.what}${one.times > 1 ? `, in ${one.times} places` : ""} ` });
    const choice = element("select");
    choice.dataset.path = one.path;
    choice.dataset.key = one.what;
    const names = one.fits.includes(one.now) ? one.fits : [one.now, ...one.fits];
    const words = (name) => (name ? (things.get(name) || { title: name }).title : "as the spec says itself");
    choice.append(...names.map((name) => new Option(words(name), name, false, name === one.now)));
    choice.addEventListener("change", () => put(one, choice.value));
    label.append(choice);
    const line = element("button", { type: "button", textContent: `Line ${one.line}` });
    line.addEventListener("click", () => goto(one.line));
    return element("p", {}, label, line);
  };
  const thing = (one, given) => {
    const row = element("li", { tabIndex: -1 });
    row.dataset.thing = one.name;
    row.append(picture(one.svg), element("strong", { textContent: one.title }), element("p", { textContent: one.figures.join(", ") }));
    row.append(element("p", { className: "measured", textContent: [`Measured ${one.measured}`, one.where, one.note].filter(Boolean).join("; ") }));
    const tools = element("div", { className: "tools" });
    row.append(tools);
    for (const at of given.places.filter((each) => each.fits.includes(one.name))) {
      const here = at.now === one.name;
      const button = element("button", { type: "button", textContent: here ? `Is the ${at.what}` : `Take as ${at.what}`, disabled: here });
      button.dataset.key = `${one.name}/${at.what}`;
      button.setAttribute("aria-label", `${button.textContent}: ${one.title}`);
      button.addEventListener("click", () => put(at, one.name));
      tools.append(button);
    }
    return row;
  };
  const paint = (given) => {
    said.textContent = given.fault || given.said;
    const things = new Map(given.things.map((one) => [one.name, one]));
    // what is in the hand stays in it
    const active = document.activeElement;
    const held = active && room.contains(active) ? active.dataset.key : "";
    places.replaceChildren(...given.places.map((one) => place(one, things)));
    list.replaceChildren(...given.things.map((one) => thing(one, given)));
    // what is taken has another path than what the spec said itself, but is called the same
    const again = held && [...room.querySelectorAll("[data-key]")].find((one) => one.dataset.key === held);
    if (again) (again.disabled ? again.closest("li") : again).focus({ preventScroll: true });
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
