"use strict";
// Other looks at the job: a variant, the pages as they will be printed, what differs from another state.
window.looks = ({ mirror, parse, refuse }) => {
  const byId = (id) => document.getElementById(id);
  const make = (tag, words, more = {}) => Object.assign(document.createElement(tag), { textContent: words, ...more });
  const ask = async (what, options, told = refuse) => {
    try {
      const answer = await (await fetch(what, options)).json();
      if (answer.ok) return answer.told;
      told(answer.words);
    } catch (gone) {
      told("the board no longer runs");
    }
    return null;
  };
  let digest = "";
  let file = 0;
  let leaf = 0;
  let leaves = 0;
  let listed = "";
  let other = -1;

  // --- forms of the job
  const forms = byId("form");
  const ADD = "+";
  const lookAt = (name) => ask(`form/${name}`, { method: "POST", headers: { "Content-Type": "application/json" }, body: "{}" });
  let form = "";
  let known = [];
  forms.addEventListener("change", async () => {
    if (forms.value !== ADD) {
      lookAt(forms.value);
      return;
    }
    const before = known;
    forms.value = form;
    await mirror();
    const added = known.find((name) => !before.includes(name));
    if (added) lookAt(added);
  });
  const paintForms = (state) => {
    form = state.form;
    known = state.forms;
    byId("forms").hidden = state.stage === "none";
    // the other hand of drive, where the spec has none yet
    const more = state.values.some((one) => /^variant\[\d+\]\.mirror$/.test(one.path)) ? [] : [ADD];
    const wanted = ["", ...state.forms, ...more];
    if (wanted.join() !== [...forms.options].map((one) => one.value).join()) {
      const words = (name) => (name === ADD ? "add the other hand of drive" : name || "as written");
      forms.replaceChildren(...wanted.map((name) => make("option", words(name), { value: name })));
    }
    forms.value = state.form;
  };

  // --- pages
  const paper = byId("paper");
  const files = byId("files");
  const showLeaf = async () => {
    const room = byId("leaf");
    byId("leaf-of").textContent = leaves ? `page ${leaf + 1} of ${leaves}` : "";
    byId("before").disabled = leaf <= 0;
    byId("after").disabled = leaf + 1 >= leaves;
    if (!leaves) {
      room.replaceChildren();
      return;
    }
    const words = `DRAFT of page ${leaf + 1} of ${files.selectedOptions[0].textContent}, reduced`;
    const picture = make("img", "", { alt: words, src: `leaf/${file}/${leaf}?${digest}` });
    picture.addEventListener("load", () => {
      room.replaceChildren(picture);
      room.dataset.shown = `${file}/${leaf}`;
    });
  };
  const showFile = async () => {
    const wanted = file;
    const count = await ask(`leaves/${file}`, undefined, (words) => { byId("leaf-of").textContent = words; });
    if (wanted !== file) return;
    if (count === null) return;
    leaves = count;
    leaf = Math.min(leaf, Math.max(0, leaves - 1));
    showLeaf();
  };
  const turn = (by) => {
    leaf = Math.min(Math.max(0, leaf + by), leaves - 1);
    showLeaf();
  };
  byId("before").addEventListener("click", () => turn(-1));
  byId("after").addEventListener("click", () => turn(1));
  byId("pages").addEventListener("keydown", (event) => {
    if (["SELECT", "INPUT"].includes(event.target.tagName) || !leaves) return;
    const by = { ArrowLeft: -1, PageUp: -1, ArrowRight: 1, PageDown: 1 }[event.key];
    if (!by) return;
    event.preventDefault();
    turn(by);
  });
  files.addEventListener("change", () => {
    file = Number(files.value);
    leaf = 0;
    showFile();
  });
  paper.addEventListener("change", () => {
    listed = "";
    showPages();
  });
  const showPages = async () => {
    const of = digest + paper.value;
    if (listed === of) return;
    listed = of;
    byId("leaf-of").textContent = "Being laid out…";
    // a spec that changes meanwhile is laid out again with its next answer
    const found = await ask(`pages/${paper.value}`, undefined, (words) => { byId("leaf-of").textContent = words; });
    if (!found) {
      listed = "";
      return;
    }
    const was = files.selectedOptions.length ? files.selectedOptions[0].textContent : "";
    files.replaceChildren(...found.map((one) => make("option", one.path, { value: one.number })));
    // the same file as before, though its number may be another
    const same = found.find((one) => one.path === was);
    file = same ? same.number : found.length ? found[0].number : 0;
    files.value = String(file);
    showFile();
  };

  // --- beside another state
  const others = byId("other");
  const showOthers = async () => {
    const found = await ask("beside");
    if (!found) return;
    if (found.map((one) => one.words).join("\n") !== [...others.options].slice(1).map((one) => one.textContent).join("\n")) {
      others.replaceChildren(make("option", "choose", { value: "-1" }), ...found.map((one) => make("option", one.words, { value: one.number })));
      others.value = String(other);
    }
    if (other >= 0) compare();
  };
  const compare = async () => {
    const room = byId("differs");
    const wanted = `${digest}/${other}`;
    if (room.dataset.shown === wanted) return;
    room.replaceChildren(make("p", "Being compared…"));
    const told = await ask(`beside/${other}`, undefined, (words) => room.replaceChildren(make("p", `Not compared: ${words}`)));
    if (!told) return;
    const pictures = told.pictures.map((one) => {
      const figure = document.createElement("figure");
      const sheet = make("div", "", { className: "paper" });
      const inner = document.createElement("div");
      inner.append(parse(one.svg));
      sheet.append(inner);
      figure.append(sheet, make("figcaption", one.title));
      return figure;
    });
    room.replaceChildren(...pictures, make("pre", told.lines.join("\n")));
    room.dataset.shown = wanted;
  };
  others.addEventListener("change", () => {
    other = Number(others.value);
    byId("differs").dataset.shown = "";
    if (other < 0) byId("differs").replaceChildren();
    else compare();
  });

  return {
    // what is shown of a state that came, in the tab that is open
    take: (state, tab) => {
      paintForms(state);
      byId("pages").hidden = tab !== "pages";
      byId("beside").hidden = tab !== "beside";
      if (state.stage !== "whole") {
        byId("pages").classList.add("old");
        byId("beside").classList.add("old");
        return;
      }
      digest = `${state.digest}${state.form}`;
      byId("pages").classList.remove("old");
      byId("beside").classList.remove("old");
      if (tab === "pages") showPages();
      if (tab === "beside") showOthers();
    },
  };
};
