"use strict";
// Listens for what is drawn anew, shows it, and sends what is done by hand.
(() => {
  const byId = (id) => document.getElementById(id);
  const now = byId("now");
  const TABS = [["panels", "Panels"], ["parts", "Parts"], ["pedal", "Pedals"], ["scene", "In the vehicle"], ["space", "3D"], ["shelf", "Shelf"], ["pages", "Pages"], ["beside", "Compare"], ["text", "Spec"]];
  let state = null;
  let tab = "panels";
  let which = "";
  let seen = "";
  let chosen = "";
  let zoom = 1;
  let scene = { digest: "", pictures: [] };
  let space = null;
  let spaceDigest = "";
  let sending = Promise.resolve();
  let base = "";
  let opened = "";
  let waiting = null;

  const say = (words, is = "") => {
    now.textContent = words;
    now.dataset.is = is;
  };

  // one after the other, each from the text the one before has made
  const send = (what, wish, refused = () => {}) => {
    sending = sending.then(async () => {
      const before = base;
      try {
        const answer = await fetch(what, {
          method: "POST",
          headers: { "Content-Type": "application/json" },
          body: JSON.stringify({ ...wish, base }),
        });
        const told = await answer.json();
        if (!told.ok) {
          refused();
          if (state) paintValues();
          say(`Not done: ${told.words}`, "refused");
          return null;
        }
        // the whole answer can be here before this one: it is not written over
        if (!state || state.digest !== told.digest || state.stage !== "whole") say(told.words);
        // the new text comes as an event; the next change waits for it
        for (let k = 0; k < 300 && base !== told.digest && base === before; k += 1) await new Promise((done) => setTimeout(done, 10));
        return told;
      } catch (gone) {
        refused();
        say("Not done: the board no longer runs", "refused");
        return null;
      }
    });
    return sending;
  };

  const fields = window.fields({
    set: (path, text, refused) => send("edit", { do: "set", path, text }, refused),
    step: (path, by, size) => send("edit", { do: "step", path, by, size }),
    goto: (line) => showLine(line),
  });
  const shelf = window.shelf({
    set: (path, text) => send("edit", { do: "set", path, text }, () => shelf.show()),
    take: (place, thing) => send("edit", { do: "take", place, thing }, () => shelf.show()),
    goto: (line) => showLine(line),
  });
  const pictures = window.pictures({
    choose: (handle) => {
      if (chosen === handle.thing) return;
      chosen = handle.thing;
      if (handle.path) fields.choose(handle.path, "", true);
      for (const one of document.querySelectorAll(".handle")) one.classList.toggle("chosen", one.dataset.thing === chosen);
    },
    move: (handle, u, v, back) => {
      const wish = handle.axes
        ? { do: "carry", thing: handle.thing, by: [0, 1, 2].map((k) => Number((u * handle.axes[0][k] + v * handle.axes[1][k]).toFixed(4))) }
        : { do: "move", thing: handle.thing, u, v };
      return send("edit", wish, back);
    },
    finding: (number) => showFinding(number),
    released: () => {
      // what came while something was held is shown now
      const came = waiting;
      waiting = null;
      if (came) take(came);
    },
  });

  const looks = window.looks({ mirror: () => send("edit", { do: "mirror" }), parse: pictures.parse, refuse: (words) => say(`Not done: ${words}`, "refused") });

  const paintValues = () => fields.show(state.values);

  const paintTabs = () => {
    byId("tabs").replaceChildren(
      ...TABS.map(([name, word]) => {
        const button = Object.assign(document.createElement("button"), { type: "button", textContent: word });
        button.setAttribute("role", "tab");
        button.setAttribute("aria-selected", String(name === tab));
        button.dataset.tab = name;
        button.addEventListener("click", () => open(name));
        return button;
      }),
    );
  };
  const open = (name) => {
    tab = name;
    which = "";
    zoom = 1;
    for (const button of byId("tabs").children) button.setAttribute("aria-selected", String(button.dataset.tab === tab));
    if (tab === "shelf") shelf.show();
    paint();
  };

  const shown = () => (tab === "scene" ? scene.pictures : state.pictures.filter((one) => one.what === tab));
  const paintWhich = (list) => {
    const word = (one) => one.title.replace(/, 1:[0-9.]+.*$/, "").replace(/:.*$/, tab === "pedal" ? (m) => m : "");
    const buttons = list.map((one) => {
      const button = Object.assign(document.createElement("button"), { type: "button", textContent: word(one) });
      button.setAttribute("aria-pressed", String(one.name === which));
      button.dataset.name = one.name;
      button.addEventListener("click", () => {
        which = one.name;
        if (one.path) fields.choose(one.path);
        paint();
      });
      return button;
    });
    const zooms = [["−", 0.8, "Smaller"], ["+", 1.25, "Larger"], ["Fit", 0, "Fit"]].map(([text, by, label]) => {
      const button = Object.assign(document.createElement("button"), { type: "button", textContent: text });
      button.setAttribute("aria-label", label);
      button.addEventListener("click", () => {
        zoom = by ? Math.min(6, Math.max(0.4, zoom * by)) : 1;
        paint();
      });
      return button;
    });
    const sizes = Object.assign(document.createElement("span"), { className: "sizes" });
    sizes.append(...zooms);
    byId("which").replaceChildren(...(list.length ? [...buttons, sizes] : []));
  };
  const paintPicture = () => {
    const list = ["space", "text", "pages", "beside", "shelf"].includes(tab) ? [] : shown();
    if (!list.some((one) => one.name === which)) which = list.length ? list[0].name : "";
    paintWhich(list);
    const room = byId("pictures");
    const active = document.activeElement;
    const held = active && room.contains(active) ? { thing: active.dataset.thing, title: active.dataset.title } : null;
    const scroll = room.querySelector(".paper");
    const [left, top] = scroll ? [scroll.scrollLeft, scroll.scrollTop] : [0, 0];
    const one = list.find((each) => each.name === which);
    const old = state.stage === "faults" || (tab === "pedal" && state.stage === "first") || Boolean(one && one.before);
    if (one && one.name !== seen && ["panels", "parts"].includes(tab)) {
      // what is looked at is drawn first
      seen = one.name;
      fetch(`seen/${seen}`, { method: "POST", headers: { "Content-Type": "application/json" }, body: "{}" }).catch(() => {});
    }
    room.replaceChildren(...(one ? [pictures.figure(one, { units: state.units, chosen, zoom, old })] : []));
    if (!one && ["pedal", "scene"].includes(tab)) {
      room.append(Object.assign(document.createElement("p"), { textContent: state.stage === "whole" ? "Nothing of this in the spec." : "Being worked out…" }));
    }
    const paper = room.querySelector(".paper");
    if (paper) [paper.scrollLeft, paper.scrollTop] = [left, top];
    if (held && held.thing) {
      const again = [...room.querySelectorAll(".handle")].find((node) => node.dataset.thing === held.thing && node.dataset.title === held.title);
      if (again) again.focus({ preventScroll: true });
    }
  };

  const paintText = () => {
    const list = document.querySelector("#text .lines");
    list.replaceChildren(...state.text.split("\n").map((line) => Object.assign(document.createElement("li"), { textContent: line || " " })));
  };
  const showLine = (line) => {
    open("text");
    for (const lit of document.querySelectorAll("#text .lit")) lit.classList.remove("lit");
    const row = document.querySelectorAll("#text .lines li")[line - 1];
    if (!row) return;
    row.classList.add("lit");
    row.scrollIntoView({ block: "center" });
  };

  // a finding opened: its line of the spec and the rule's own words; after a change it may have another number
  const same = (f) => `${f.code} ${f.where}`;
  const showFinding = (number) => {
    const found = state.findings.find((f) => f.number === number);
    if (!found) return;
    opened = same(found);
    paintFindings();
    const row = document.querySelector(`#findings [data-number="${number}"]`);
    row.scrollIntoView({ block: "nearest" });
    if (found.path) fields.choose(found.path);
  };
  // changes tried on a copy of the job; one that clears the finding can be made here
  const showMend = async (number) => {
    showFinding(number);
    const row = document.querySelector(`#findings [data-number="${number}"]`);
    const told = Object.assign(document.createElement("p"), { className: "mend", textContent: "Trying changes…" });
    row.append(told);
    const mend = await (await fetch(`mend/${number}`)).json();
    told.textContent = mend.holds ? `Tried, clears this: ${mend.words}.` : `${mend.words}.`;
    for (const edit of mend.edits) told.append(Object.assign(document.createElement("code"), { textContent: edit }));
    if (mend.holds) {
      const button = Object.assign(document.createElement("button"), { type: "button", textContent: "Change it so" });
      button.addEventListener("click", () => send("edit", { do: "mend", number }));
      told.append(button);
    }
  };
  const rules = new Map();
  const ruleOf = async (code) => {
    if (!rules.has(code)) {
      const answer = await fetch(`rule/${code}`);
      if (!answer.ok) return null;
      rules.set(code, await answer.json());
    }
    return rules.get(code);
  };
  const showRule = async (code) => {
    const rule = await ruleOf(code);
    if (!rule) return;
    byId("rule-head").textContent = `${rule.code}: ${rule.title}`;
    const rows = [["meaning", rule.meaning], ["formula", rule.formula], ["source", `${rule.source} [${rule.trust}]`], ["usual cure", rule.mend]];
    document.querySelector("#rule dl").replaceChildren(
      ...rows.filter(([, text]) => text).flatMap(([name, text]) => [
        Object.assign(document.createElement("dt"), { textContent: name }),
        Object.assign(document.createElement("dd"), { textContent: text }),
      ]),
    );
    byId("rule").showModal();
  };
  document.querySelector("#rule button").addEventListener("click", () => byId("rule").close());

  const counts = () => ["fail", "warn", "note"].map((kind) => `${state.findings.filter((f) => f.severity === kind).length} ${kind}`).join(", ");
  const paintFindings = () => {
    const known = state.stage === "whole";
    byId("count").textContent = `${counts()}${known ? "" : "; of before the last change, being worked out again"}`;
    byId("findings").replaceChildren(
      ...state.findings.map((f) => {
        const row = document.createElement("li");
        row.className = f.severity;
        row.dataset.code = f.code;
        row.dataset.number = f.number;
        row.classList.toggle("lit", same(f) === opened);
        const head = document.createElement("p");
        const word = Object.assign(document.createElement("span"), { className: "word", textContent: `${f.number} ${f.severity} ` });
        head.append(word, f.code);
        const found = Object.assign(document.createElement("p"), { textContent: `${f.where}: ${f.found}; limit ${f.wanted}. ${f.cure}.${f.shelf ? ` From the shelf: ${f.shelf}.` : ""}` });
        const tools = document.createElement("div");
        tools.className = "tools";
        const button = (text, act) => {
          const out = Object.assign(document.createElement("button"), { type: "button", textContent: text });
          out.addEventListener("click", act);
          tools.append(out);
        };
        button("Open", () => showFinding(f.number));
        if (f.line) button(`Line ${f.line}`, () => showLine(f.line));
        button("Rule", () => showRule(f.code));
        if (f.severity !== "note" && state.stage === "whole") button("What clears it", () => showMend(f.number));
        if (f.panels.length) {
          button("On the panel", () => {
            open("panels");
            const one = shown().find((each) => each.name.startsWith(`panel_${f.panels[0]}_`));
            if (one && !which.startsWith(`panel_${f.panels[0]}_`)) which = one.name;
            paint();
          });
        }
        row.append(head, found);
        if (same(f) === opened) {
          const more = document.createElement("p");
          ruleOf(f.code).then((rule) => {
            if (rule) more.textContent = `${rule.title}. ${rule.meaning} (${rule.source})`;
          });
          const line = document.createElement("code");
          if (f.line) line.textContent = `${f.line}: ${state.text.split("\n")[f.line - 1].trim()}`;
          row.append(line, more);
        }
        row.append(tools);
        return row;
      }),
    );
  };
  const paintFaults = () => {
    const box = byId("faults");
    box.hidden = !state.faults.length;
    box.querySelector("ol").replaceChildren(
      ...state.faults.map((f) => {
        const row = document.createElement("li");
        row.append(`${f.path ? `${f.path}: ` : ""}found ${f.found}${f.expected ? `, expected ${f.expected}` : ""}${f.hint ? ` (${f.hint})` : ""} `);
        if (f.line) {
          const button = Object.assign(document.createElement("button"), { type: "button", textContent: `Line ${f.line}` });
          button.addEventListener("click", () => showLine(f.line));
          row.append(button);
        }
        return row;
      }),
    );
  };

  const late = async () => {
    // what is heavy is fetched when it is looked at, once for each answer
    if (state.stage !== "whole") return;
    const wanted = state.digest + state.form;
    if (tab === "scene" && scene.digest !== wanted) {
      const list = await (await fetch("scene")).json();
      if (wanted !== state.digest + state.form) return;
      scene = { digest: wanted, pictures: list };
      if (tab === "scene") paintPicture();
    }
    if (tab === "space" && spaceDigest !== wanted) {
      spaceDigest = wanted;
      if (!space) space = window.spaceView(byId("space"));
      const data = await (await fetch("space")).json();
      if (wanted !== state.digest + state.form) {
        spaceDigest = "";
        late();
        return;
      }
      space.show(data);
      byId("space").dataset.shown = state.digest;
    }
  };

  const paint = () => {
    if (!state) return;
    byId("space").hidden = tab !== "space";
    byId("text").hidden = tab !== "text";
    byId("shelf").hidden = tab !== "shelf";
    paintPicture();
    if (tab === "text") paintText();
    looks.take(state, tab);
    late();
  };
  const WORDS = { first: "Drawn; being checked…", whole: "Drawn and checked", faults: "The spec has faults; this is the last good picture" };
  const take = (given) => {
    if (pictures.held()) {
      // the node that is held would go with the picture, and the drag with it
      waiting = given;
      base = given.digest;
      return;
    }
    const fresh = !state || given.digest !== state.digest;
    state = given;
    base = given.digest;
    byId("title").textContent = state.title;
    document.title = `Board: ${state.title}`;
    byId("undo").disabled = !state.undo;
    byId("redo").disabled = !state.redo;
    byId("undo").textContent = `Take back (${state.undo})`;
    byId("redo").textContent = `Again (${state.redo})`;
    // in sight whatever the list of findings is scrolled to
    if (fresh || now.dataset.is !== "refused") say(`${WORDS[state.stage] || ""}${state.stage === "whole" ? `: ${counts()}` : ""}`, state.stage);
    paintFaults();
    if (tab === "shelf" && (given.stage !== "whole" || fresh)) shelf.show();
    paintValues();
    paintFindings();
    paint();
    document.body.dataset.form = state.form;
    document.body.dataset.stage = state.stage;
    document.body.dataset.digest = state.digest;
  };

  byId("undo").addEventListener("click", () => send("undo", {}));
  byId("redo").addEventListener("click", () => send("redo", {}));
  document.addEventListener("keydown", (event) => {
    if (!(event.ctrlKey || event.metaKey) || event.altKey) return;
    const key = event.key.toLowerCase();
    const field = event.target instanceof HTMLInputElement && event.target.value !== event.target.defaultValue;
    if (field) return;
    if (key === "z" && !event.shiftKey) send("undo", {});
    else if (key === "y" || (key === "z" && event.shiftKey)) send("redo", {});
    else return;
    event.preventDefault();
  });

  paintTabs();
  byId("space").hidden = true;
  const events = new EventSource("events");
  events.addEventListener("message", (event) => take(JSON.parse(event.data)));
  events.addEventListener("error", () => say("The board does not answer: it was ended, or is starting again", "refused"));
})();
