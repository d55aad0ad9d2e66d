"use strict";
// The values of a table of the spec, to type and to step.
window.fields = ({ set, step, goto }) => {
  const room = document.getElementById("values");
  const tables = document.getElementById("tables");
  const find = document.getElementById("find");
  const head = document.getElementById("chosen");
  const MOST = 60;
  let values = [];
  let base = "";
  let lit = "";
  const refused = new Map();

  // panel[0].hole[2] as "panel firewall, hole clamp": things by their names
  const nameOf = (prefix) => {
    const steps = prefix.split(".");
    return steps
      .map((step, k) => {
        const here = steps.slice(0, k + 1).join(".");
        const named = ["name", "label", "hose"].map((key) => values.find((one) => one.path === `${here}.${key}`)).find(Boolean);
        const match = step.match(/^(.*)\[(\d+)\]$/);
        return match ? `${match[1].replaceAll("_", " ")} ${named ? named.text : Number(match[2]) + 1}` : step;
      })
      .join(", ");
  };
  // panel[0].hole[2].at.u lies in job, panel[0] and panel[0].hole[2]
  const prefixes = (path) => {
    const out = [];
    for (const match of path.matchAll(/\]|^[A-Za-z0-9_-]+(?=\.)/g)) out.push(path.slice(0, match.index + match[0].length));
    return out;
  };
  const under = (path) => path === base || path.startsWith(`${base}.`) || path.startsWith(`${base}[`);
  const own = (path) => {
    // values of tables within have their own entry in the list, but a place written as a list belongs to this one
    const rest = path.slice(base.length);
    return !/\[\d+\]\./.test(rest);
  };

  const row = (value) => {
    const label = base && under(value.path) ? value.path.slice(base.length).replace(/^\./, "") : value.path;
    const out = document.createElement("div");
    out.className = "value";
    out.classList.toggle("lit", value.path === lit);
    out.dataset.path = value.path;
    const name = document.createElement("label");
    const input = Object.assign(document.createElement("input"), { type: "text", defaultValue: value.text, autocomplete: "off", spellcheck: false });
    input.id = `v-${value.path}`;
    name.htmlFor = input.id;
    // may be broken after a point or an underscore
    name.append(...label.split(/(?<=[._])/).flatMap((part, k) => (k ? [document.createElement("wbr"), part] : [part])));
    name.title = `line ${value.line}`;
    const ups = (event, by) => step(value.path, by, event.shiftKey ? "coarse" : event.altKey ? "fine" : "usual");
    // what was sent is no longer being typed: the next picture shows it as the file has it; refused it stays
    const give = () => {
      if (input.value === input.defaultValue) return;
      const [old, text] = [input.defaultValue, input.value];
      input.defaultValue = text;
      set(value.path, text, () => {
        input.defaultValue = old;
        refused.set(value.path, text);
        const here = document.getElementById(input.id); // another one, if it was drawn anew meanwhile
        if (here) here.value = text;
      });
    };
    input.addEventListener("keydown", (event) => {
      if (event.key === "Enter") give();
      else if (event.key === "Escape") input.value = input.defaultValue;
      else if (event.key === "ArrowUp") ups(event, 1);
      else if (event.key === "ArrowDown") ups(event, -1);
      else return;
      event.preventDefault();
    });
    // what was refused is not sent again by merely leaving the field
    input.addEventListener("change", () => {
      if (refused.get(value.path) !== input.value) give();
    });
    const buttons = [];
    if (value.steps) {
      for (const [by, word] of [[-1, "−"], [1, "+"]]) {
        const button = Object.assign(document.createElement("button"), { type: "button", textContent: word });
        button.setAttribute("aria-label", `${label} ${by > 0 ? "up" : "down"}`);
        button.addEventListener("click", (event) => ups(event, by));
        buttons.push(button);
      }
    }
    out.append(name, input, ...buttons);
    name.addEventListener("dblclick", () => goto(value.line));
    return out;
  };

  const paint = () => {
    const asked = find.value.trim().toLowerCase();
    const some = asked
      ? values.filter((one) => `${one.path} ${one.text}`.toLowerCase().includes(asked))
      : base
        ? values.filter((one) => under(one.path) && own(one.path))
        : [];
    const active = document.activeElement;
    const held = active && room.contains(active) && active.tagName === "INPUT" ? active : null;
    const typing = held && held.value !== held.defaultValue ? held.value : null;
    const where = held ? held.id : "";
    const marked = held ? [held.selectionStart, held.selectionEnd] : [0, 0];
    room.replaceChildren(...some.slice(0, MOST).map(row));
    if (some.length > MOST) {
      const more = document.createElement("p");
      more.textContent = `and ${some.length - MOST} more: find them by a word`;
      room.append(more);
    }
    const again = where && document.getElementById(where);
    if (again) {
      if (typing !== null) again.value = typing;
      again.focus({ preventScroll: true });
      // what was marked to be typed over still is
      again.setSelectionRange(...marked);
    }
    if (!asked) head.textContent = base ? nameOf(base) : "Take hold of a hole or a part, or choose a table.";
    else head.textContent = `${some.length} value${some.length === 1 ? "" : "s"} with “${find.value.trim()}”`;
  };

  const show = (given) => {
    values = given;
    const known = [...new Set(values.flatMap((one) => prefixes(one.path)))].filter((one) => /^[a-z_]+$/.test(one) || one.endsWith("]"));
    const named = known.filter((one) => /^[a-z_]+$/.test(one) ? values.some((v) => v.path.startsWith(`${one}.`)) : values.some((v) => v.path.startsWith(`${one}.`)));
    const options = ["", ...named].map((one) => new Option(one ? nameOf(one) : "choose", one));
    tables.replaceChildren(...options);
    tables.value = named.includes(base) ? base : "";
    paint();
  };
  // what is taken hold of on the picture shows first where it is
  const PLACE = /\.(at|corner|centre)[.[]/;
  const choose = (path, value = "", placed = false) => {
    find.value = "";
    base = path;
    lit = value;
    tables.value = path;
    paint();
    const first = placed && [...room.children].find((one) => PLACE.test((one.dataset.path || "").slice(path.length)));
    room.scrollTop = first ? first.offsetTop - room.offsetTop : 0;
  };
  tables.addEventListener("change", () => choose(tables.value));
  find.addEventListener("input", paint);
  return { show, choose };
};
