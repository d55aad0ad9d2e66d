"use strict";
// Pictures that move. All of it is an addition: without it each step stands at its end.
(() => {
  const still = window.matchMedia("(prefers-reduced-motion: reduce)");
  for (const step of document.querySelectorAll(".step")) {
    const frames = [...step.querySelectorAll(".frame")];
    const controls = step.querySelector(".controls");
    const slide = controls.querySelector("input");
    const play = controls.querySelector("button");
    const last = frames.length - 1;
    let timer = 0;

    const show = (at) => {
      frames.forEach((frame, index) => {
        frame.hidden = index !== at;
      });
      slide.value = String(at);
      slide.setAttribute("aria-valuetext", frames[at].dataset.at);
    };
    const stop = () => {
      window.clearInterval(timer);
      timer = 0;
      play.textContent = "Play";
    };
    play.addEventListener("click", () => {
      if (timer) {
        stop();
        return;
      }
      let at = 0;
      show(at);
      play.textContent = "Stop";
      timer = window.setInterval(
        () => {
          at += 1;
          show(Math.min(at, last));
          if (at >= last) stop();
        },
        still.matches ? 900 : 220,
      );
    });
    slide.addEventListener("input", () => {
      stop();
      show(Number(slide.value));
    });
    controls.hidden = false;
    show(last);
  }
})();
