"use strict";
// A tap opens a picture at its own size, another sets it back; the view in 3D begins when it comes into sight.
for (const box of document.querySelectorAll(".paper")) {
  box.tabIndex = 0;
  box.setAttribute("role", "group");
  const change = () => box.classList.toggle("large");
  box.addEventListener("click", change);
  box.addEventListener("keydown", (event) => {
    if (event.key === "Enter") change();
  });
}
const space = document.getElementById("space");
if (space && window.spaceView) {
  const watch = new IntersectionObserver((seen) => {
    if (!seen.some((one) => one.isIntersecting)) return;
    watch.disconnect();
    window.spaceView(space).show(JSON.parse(document.getElementById("space-data").textContent));
  });
  watch.observe(space);
}
