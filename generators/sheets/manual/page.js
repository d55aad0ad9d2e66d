"use strict";
// Looks up names: those that begin with what was typed first, then those that hold it, then texts that do.
const MOST = 40;
const box = document.querySelector(".search");
const input = document.getElementById("find");
const list = document.getElementById("found");

function entries() {
  return [...document.querySelectorAll("[data-find]")].map((node) => {
    const article = node.closest("article");
    const section = node.closest("section");
    const place = node.id;
    const title = section ? section.querySelector("h2").textContent : "";
    const inside = article && article !== node ? article.dataset.find : "";
    const said = node.tagName === "CODE" ? node.closest("tr").textContent : node.textContent;
    return { name: node.dataset.find, where: [title, inside].filter(Boolean).join(", "), place, said: said.toLowerCase() };
  });
}

let all = null;
function rank(entry, words) {
  const name = entry.name.toLowerCase();
  if (name === words) return 0;
  if (name.startsWith(words)) return 1;
  if (name.includes(words)) return 2;
  return words.split(/\s+/).every((word) => name.includes(word) || entry.said.includes(word)) ? 3 : 9;
}

function look() {
  const words = input.value.trim().toLowerCase();
  list.replaceChildren();
  list.hidden = words === "";
  if (!words) return;
  all = all || entries();
  const found = all.map((entry, at) => [rank(entry, words), at, entry]).filter((row) => row[0] < 9);
  found.sort((a, b) => a[0] - b[0] || a[1] - b[1]);
  for (const [, , entry] of found.slice(0, MOST)) {
    const link = document.createElement("a");
    link.href = "#" + entry.place;
    const where = document.createElement("span");
    where.className = "where";
    where.textContent = "  " + entry.where;
    link.append(entry.name, where);
    const item = document.createElement("li");
    item.append(link);
    list.append(item);
  }
  if (!found.length || found.length > MOST) {
    const item = document.createElement("li");
    item.textContent = found.length ? `${found.length - MOST} more: type more letters` : "Nothing has that word.";
    list.append(item);
  }
}

function close() { list.hidden = true; }

box.hidden = false;
input.addEventListener("input", look);
input.addEventListener("focus", look);
list.addEventListener("click", (event) => { if (event.target.closest("a")) close(); });
document.addEventListener("click", (event) => { if (!box.contains(event.target)) close(); });
document.addEventListener("keydown", (event) => {
  const links = [...list.querySelectorAll("a")];
  const at = links.indexOf(document.activeElement);
  if (event.key === "/" && document.activeElement !== input) { event.preventDefault(); input.focus(); input.select(); }
  else if (event.key === "Escape") { close(); input.blur(); }
  else if (!box.contains(document.activeElement)) return;
  else if (event.key === "Enter" && document.activeElement === input && links.length) { links[0].click(); }
  else if (event.key === "ArrowDown" && links.length) { event.preventDefault(); links[Math.min(at + 1, links.length - 1)].focus(); }
  else if (event.key === "ArrowUp" && at >= 0) { event.preventDefault(); (links[at - 1] || input).focus(); }
});
