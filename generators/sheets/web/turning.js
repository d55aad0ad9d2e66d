"use strict";
// What every view in 3D of these pages is made of: its camera, how a finger, the mouse, the keys and the buttons turn
// it, and what is touched. Drawn only when it changes. What is in it is for the page to say.
window.turning = (() => {
  const FIELD = 35;
  const STEP = Math.PI / 12;
  const LOWEST = 0.05;
  const TAP = 6;
  // polar angle from straight up, angle round the vertical from behind the driver
  const VIEWS = { oblique: [1.1, -0.6], driver: [Math.PI / 2, 0], left: [Math.PI / 2, -Math.PI / 2], above: [LOWEST, 0] };
  const KEYS = { ArrowLeft: "left", ArrowRight: "right", ArrowUp: "up", ArrowDown: "down", "+": "near", "=": "near", "-": "far" };

  const unpacked = (text) => {
    const raw = atob(text);
    const bytes = new Uint8Array(raw.length);
    for (let k = 0; k < raw.length; k += 1) bytes[k] = raw.charCodeAt(k);
    return bytes.buffer;
  };

  const switches = (buttons, changed) => {
    for (const button of buttons) {
      button.addEventListener("click", () => {
        button.setAttribute("aria-pressed", String(button.getAttribute("aria-pressed") !== "true"));
        changed(button);
      });
    }
  };

  // Up is the axis "y" or "z"; behind is the angle round it at which the driver sits. Throws where a browser cannot draw.
  // layers: lists of meshes, the first that is met counts; touched: what to do with a mesh, or with none.
  const view = (root, { up, behind, near, far, sky, sun, reach, before = () => {}, resized = () => {}, layers, touched }) => {
    const canvas = root.querySelector("canvas");
    const renderer = new THREE.WebGLRenderer({ canvas, antialias: true, alpha: true });
    renderer.setPixelRatio(Math.min(window.devicePixelRatio || 1, 2));
    const camera = new THREE.PerspectiveCamera(FIELD, 1, near, far);
    const upward = new THREE.Vector3(0, up === "y" ? 1 : 0, up === "z" ? 1 : 0);
    camera.up.copy(upward);
    const world = new THREE.Scene();
    world.add(new THREE.HemisphereLight(0xffffff, 0x8a8a80, sky));
    const lamp = new THREE.DirectionalLight(0xffffff, sun);
    world.add(lamp);
    const box = new THREE.Box3();
    const target = new THREE.Vector3();
    const way = { phi: VIEWS.oblique[0], theta: VIEWS.oblique[1] + behind, radius: 1 };

    const away = () => {
      const s = Math.sin(way.phi);
      const [a, b, c] = [s * Math.cos(way.theta), s * Math.sin(way.theta), Math.cos(way.phi)];
      return up === "z" ? new THREE.Vector3(a, b, c) : new THREE.Vector3(b, c, a);
    };
    // as near as all corners of what is solid are still seen, with a little air
    const fit = () => {
      const back = away();
      const right = upward.clone().cross(back).normalize();
      const over = new THREE.Vector3().crossVectors(back, right);
      const tall = Math.tan((FIELD * Math.PI) / 360);
      let most = 0;
      for (let k = 0; k < 8; k += 1) {
        const at = new THREE.Vector3(...["x", "y", "z"].map((axis, bit) => (k & (1 << bit) ? box.max : box.min)[axis])).sub(target);
        most = Math.max(most, at.dot(back) + Math.max(Math.abs(at.dot(right)) / (tall * camera.aspect), Math.abs(at.dot(over)) / tall));
      }
      return 1.04 * most;
    };
    const draw = () => {
      const wide = canvas.clientWidth;
      const tall = canvas.clientHeight;
      if (!wide || !tall) return;
      renderer.setSize(wide, tall, false);
      camera.aspect = wide / tall;
      camera.updateProjectionMatrix();
      camera.position.copy(away()).multiplyScalar(way.radius).add(target);
      camera.lookAt(target);
      lamp.position.copy(camera.position);
      before();
      renderer.render(world, camera);
    };
    let asked = false;
    const ask = () => {
      if (asked) return;
      asked = true;
      requestAnimationFrame(() => {
        asked = false;
        draw();
      });
    };
    const bound = () => {
      const [least, most] = reach();
      way.phi = Math.min(Math.PI - LOWEST, Math.max(LOWEST, way.phi));
      way.radius = Math.min(most, Math.max(least, way.radius));
      ask();
    };
    const turn = (across, along) => {
      way.theta -= across;
      way.phi -= along;
      bound();
    };
    const zoom = (by) => {
      way.radius *= by;
      bound();
    };
    const shift = (dx, dy) => {
      const scale = (2 * way.radius * Math.tan((FIELD * Math.PI) / 360)) / canvas.clientHeight;
      const m = camera.matrixWorld.elements;
      target.addScaledVector(new THREE.Vector3(m[0], m[1], m[2]), -dx * scale);
      target.addScaledVector(new THREE.Vector3(m[4], m[5], m[6]), dy * scale);
      ask();
    };
    const look = (name) => {
      camera.aspect = canvas.clientWidth / Math.max(canvas.clientHeight, 1);
      box.getCenter(target);
      way.phi = VIEWS[name][0];
      way.theta = VIEWS[name][1] + behind;
      way.radius = fit();
      bound();
    };
    const hit = (x, y) => {
      const frame = canvas.getBoundingClientRect();
      const at = new THREE.Vector2((2 * (x - frame.left)) / frame.width - 1, 1 - (2 * (y - frame.top)) / frame.height);
      const ray = new THREE.Raycaster();
      ray.setFromCamera(at, camera);
      const met = layers().reduce((found, meshes) => found || ray.intersectObjects(meshes, false)[0], null);
      touched(met ? met.object : null);
    };

    const MOVES = {
      left: () => turn(-STEP, 0),
      right: () => turn(STEP, 0),
      up: () => turn(0, -STEP),
      down: () => turn(0, STEP),
      near: () => zoom(0.8),
      far: () => zoom(1.25),
    };
    const pointers = new Map();
    let travelled = 0;
    const spread = () => {
      const [a, b] = [...pointers.values()];
      return { x: (a.x + b.x) / 2, y: (a.y + b.y) / 2, gap: Math.hypot(a.x - b.x, a.y - b.y) };
    };
    canvas.addEventListener("pointerdown", (event) => {
      canvas.setPointerCapture(event.pointerId);
      if (pointers.size === 0) travelled = 0;
      pointers.set(event.pointerId, { x: event.clientX, y: event.clientY });
    });
    canvas.addEventListener("pointermove", (event) => {
      const was = pointers.get(event.pointerId);
      if (!was) return;
      const before = pointers.size === 2 ? spread() : null;
      const [dx, dy] = [event.clientX - was.x, event.clientY - was.y];
      travelled += Math.abs(dx) + Math.abs(dy);
      pointers.set(event.pointerId, { x: event.clientX, y: event.clientY });
      if (before) {
        const after = spread();
        if (after.gap > 0) zoom(before.gap / after.gap);
        shift(after.x - before.x, after.y - before.y);
      } else if (event.shiftKey) shift(dx, dy);
      else turn((dx * Math.PI) / Math.max(canvas.clientHeight, 1), (dy * Math.PI) / Math.max(canvas.clientHeight, 1));
    });
    const end = (event) => {
      if (event.type === "pointerup" && pointers.size === 1 && travelled < TAP) hit(event.clientX, event.clientY);
      pointers.delete(event.pointerId);
    };
    canvas.addEventListener("pointerup", end);
    canvas.addEventListener("pointercancel", end);
    canvas.addEventListener("wheel", (event) => {
      event.preventDefault();
      zoom(Math.exp(event.deltaY * 0.001));
    }, { passive: false });
    canvas.addEventListener("keydown", (event) => {
      if (event.ctrlKey || event.metaKey || event.altKey) return;
      if (event.key === "Home") look("oblique");
      else if (KEYS[event.key]) MOVES[KEYS[event.key]]();
      else return;
      event.preventDefault();
      event.stopPropagation();
    });
    for (const button of root.querySelectorAll("[data-turn]")) button.addEventListener("click", () => MOVES[button.dataset.turn]());
    for (const button of root.querySelectorAll("[data-view]")) button.addEventListener("click", () => look(button.dataset.view));
    new ResizeObserver(() => {
      resized();
      ask();
    }).observe(canvas);
    return { canvas, world, box, ask, look };
  };

  return { unpacked, switches, view };
})();
