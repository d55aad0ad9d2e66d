"use strict";
// figures as people write them: 438.5, 438,5, 17 1/4, 1/2
function figure(text) {
  const plain = written(text);
  if (/^-?\d+\/[1-9]\d*$/.test(plain)) return Number(plain.split("/")[0]) / Number(plain.split("/")[1]);
  const match = /^(-)?(?:(\d+(?:\.\d+)?))?(?:(?:^| |-)?(\d+)\/(\d+))?$/.exec(plain);
  if (!match || plain === "" || plain === "-" || (match[4] !== undefined && Number(match[4]) === 0)) return null;
  const whole = match[2] === undefined ? 0 : Number(match[2]);
  const part = match[3] === undefined ? 0 : Number(match[3]) / Number(match[4]);
  if (match[2] !== undefined && match[3] !== undefined && !/ \d+\/\d+$|-\d+\/\d+$/.test(plain)) return null;
  const value = whole + part;
  return match[1] ? -value : value;
}
function written(text) {
  return text.trim().replace(",", ".").replace(/\s+/g, " ").replace("\u2212", "-");
}
// a unit typed behind the figure goes into the box beside it
const UNITS = [[/\s*mm$/i, "mm"], [/\s*(?:in|inch|inches|"|\u201d|\u2033)\.?$/i, "in"], [/\s*(?:deg|degrees|\u00b0)$/i, "deg"]];
function typed(row) {
  const select = row.querySelector("select");
  let text = row.querySelector("input.figure").value;
  let unit = select.value;
  for (const [pattern, name] of UNITS) {
    if (pattern.test(text) && Array.from(select.options).some((o) => o.value === name)) {
      text = text.replace(pattern, "");
      unit = name;
      break;
    }
  }
  return [text, unit];
}
const rows = Array.from(document.querySelectorAll(".reading"));
function judged(row) {
  const [text, unit] = typed(row);
  const said = row.querySelector(".said");
  const stays = row.querySelector(".stays");
  stays.hidden = true;
  if (text.trim() === "") { said.textContent = ""; return null; }
  const value = figure(text);
  if (value === null) { said.textContent = "That is no figure: write 438.5, or 17 1/4."; return null; }
  const base = unit === "in" ? value * 25.4 : value;
  const expected = Number(row.dataset.expected);
  const reach = 6 * Number(row.dataset.spread) + (unit === "deg" ? 2 : 3);
  if (Math.abs(base - expected) > reach) {
    const other = unit === "mm" ? value * 25.4 : value;
    said.textContent = unit === "mm" && Math.abs(other - expected) <= reach
      ? "Is that in inches? Change the unit beside it."
      : unit === "in" && Math.abs(other - expected) <= reach
      ? "Is that in millimetres? Change the unit beside it."
      : "Far from what we would expect: please measure it once more.";
    stays.hidden = false;
  } else {
    said.textContent = "";
  }
  return `${written(text)} ${unit}`;
}
for (const row of rows) row.addEventListener("input", () => judged(row));
for (const row of rows) row.addEventListener("change", () => judged(row));
for (const row of rows) row.querySelector("input.figure").addEventListener("change", () => {
  const [text, unit] = typed(row);
  if (figure(text) === null) return;
  row.querySelector("input.figure").value = written(text);
  row.querySelector("select").value = unit;
  judged(row);
});
document.getElementById("make").addEventListener("click", () => {
  const page = document.documentElement.dataset;
  const given = document.getElementById("name").value.trim().toLowerCase().replace(/[^a-z0-9]+/g, "_").replace(/^_+|_+$/g, "");
  const name = (/^[a-z]/.test(given) ? given : "order_" + given).slice(0, 40).replace(/_+$/, "") || "order";
  const out = ["# Readings of one vehicle, from the measuring form, revision " + page.revision, "", "[vehicle]",
    `name = "${name}"`, `job = "${page.job}"`];
  if (page.variant) out.push(`variant = "${page.variant}"`);
  const left = [];
  for (const row of rows) {
    const value = judged(row);
    if (value === null) {
      if (typed(row)[0].trim() !== "") left.push(row.dataset.number);
      continue;
    }
    const d = row.dataset;
    out.push("", "[[reading]]", `number = ${d.number}`, `kind = "${d.kind}"`, `panel = "${d.panel}"`, `from = "${d.from}"`);
    if (d.to) out.push(`to = "${d.to}"`);
    out.push(`${d.kind === "lean" ? "leans" : "is"} = "${value}"`);
    const stays = row.querySelector(".stays");
    if (!stays.hidden && stays.querySelector("input").checked) out.push("again = true");
  }
  document.getElementById("left").textContent = left.length
    ? `Not in the file, because it is no figure: reading ${left.join(", ")}.` : "";
  const text = out.join("\n") + "\n";
  const area = document.getElementById("text");
  area.value = text;
  area.hidden = false;
  const link = document.getElementById("file");
  link.href = URL.createObjectURL(new Blob([text], { type: "application/toml" }));
  link.download = name + "_readings.toml";
  link.hidden = false;
});
