"use strict";
// The assembly, turned by a finger, the mouse or the keys. Drawn only while it is open, and only when it changes.
(() => {
  const dialog = document.getElementById("space");
  const canvas = dialog.querySelector("canvas");
  const list = dialog.querySelector("select");
  const said = dialog.querySelector(".said");
  const titles = JSON.parse(document.getElementById("titles").textContent);
  const FIELD = 35;
  const STEP = Math.PI / 12;
  const LOWEST = 0.05;
  const VIEWS = {
    // polar angle from straight up, angle round the vertical; glTF looks along z, the driver sits behind
    oblique: [1.1, Math.PI - 0.6],
    driver: [Math.PI / 2, Math.PI],
    left: [Math.PI / 2, Math.PI / 2],
    above: [LOWEST, Math.PI],
  };
  let shown = null;

  const bytes = () => {
    const text = atob(document.getElementById("assembly").textContent);
    const out = new Uint8Array(text.length);
    for (let k = 0; k < text.length; k += 1) out[k] = text.charCodeAt(k);
    return out.buffer;
  };

  const build = (scene) => {
    const renderer = new THREE.WebGLRenderer({ canvas, antialias: true, alpha: true });
    renderer.setPixelRatio(Math.min(window.devicePixelRatio || 1, 2));
    const camera = new THREE.PerspectiveCamera(FIELD, 1, 0.01, 100);
    const world = new THREE.Scene();
    world.add(scene);
    world.add(new THREE.HemisphereLight(0xffffff, 0x8a8a80, 0.65));
    const lamp = new THREE.DirectionalLight(0xffffff, 0.55);
    world.add(lamp);
    const things = [];
    const lines = [];
    scene.traverse((node) => {
      if (!node.isMesh) return;
      node.material.metalness = 0.1;
      const edges = new THREE.LineSegments(
        new THREE.EdgesGeometry(node.geometry, 30),
        new THREE.LineBasicMaterial({ color: 0x20262a, transparent: true }),
      );
      lines.push([node, edges]);
      things.push(node);
    });
    for (const [node, edges] of lines) node.add(edges);
    const named = (node) => node.userData.name || node.name;
    for (const node of things) {
      node.userData.alpha = node.material.opacity;
      node.userData.blend = node.material.transparent;
    }
    const box = new THREE.Box3();
    for (const node of things) if (!node.material.transparent) box.expandByObject(node);
    if (box.isEmpty()) box.setFromObject(scene);
    const ball = box.getBoundingSphere(new THREE.Sphere());
    const corners = [0, 1, 2, 3, 4, 5, 6, 7].map(
      (k) => new THREE.Vector3(...["x", "y", "z"].map((axis, at) => (k & (1 << at) ? box.max : box.min)[axis])),
    );
    const target = new THREE.Vector3();
    const way = new THREE.Spherical();
    // as near as all corners of what is solid are still seen, with a little air
    const fit = () => {
      const back = new THREE.Vector3().setFromSphericalCoords(1, way.phi, way.theta);
      const right = new THREE.Vector3(0, 1, 0).cross(back).normalize();
      const up = new THREE.Vector3().crossVectors(back, right);
      const tall = Math.tan((FIELD * Math.PI) / 360);
      const wide = tall * camera.aspect;
      const distances = corners.map((corner) => {
        const at = corner.clone().sub(target);
        return at.dot(back) + Math.max(Math.abs(at.dot(right)) / wide, Math.abs(at.dot(up)) / tall);
      });
      return 1.04 * Math.max(...distances);
    };

    const draw = () => {
      const wide = canvas.clientWidth;
      const tall = canvas.clientHeight;
      if (!wide || !tall) return;
      renderer.setSize(wide, tall, false);
      camera.aspect = wide / tall;
      camera.updateProjectionMatrix();
      camera.position.setFromSpherical(way).add(target);
      camera.lookAt(target);
      lamp.position.copy(camera.position);
      for (const [node, edges] of lines) edges.material.opacity = 0.6 * node.material.opacity;
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
      way.phi = Math.min(Math.PI - LOWEST, Math.max(LOWEST, way.phi));
      way.radius = Math.min(ball.radius * 20, Math.max(ball.radius * 0.1, way.radius));
      ask();
    };
    const turn = (across, up) => {
      way.theta -= across;
      way.phi -= up;
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
      target.copy(ball.center);
      [way.phi, way.theta] = VIEWS[name];
      way.radius = fit();
      bound();
    };
    const choose = (name) => {
      const found = things.filter((node) => named(node) === name);
      for (const node of things) {
        const pale = found.length > 0 && !found.includes(node);
        node.material.transparent = pale || node.userData.blend;
        node.material.opacity = pale ? Math.min(0.12, node.userData.alpha) : node.userData.alpha;
        node.material.depthWrite = !pale;
        node.material.needsUpdate = true;
      }
      list.value = found.length ? name : "";
      said.textContent = found.length ? titles[name] : "";
      ask();
    };
    const hit = (x, y) => {
      const frame = canvas.getBoundingClientRect();
      const at = new THREE.Vector2(
        (2 * (x - frame.left)) / frame.width - 1,
        1 - (2 * (y - frame.top)) / frame.height,
      );
      const ray = new THREE.Raycaster();
      ray.setFromCamera(at, camera);
      const solid = things.filter((node) => !node.userData.blend && visible(node));
      const all = things.filter(visible);
      const met = ray.intersectObjects(solid, false)[0] || ray.intersectObjects(all, false)[0];
      choose(met ? named(met.object) : "");
    };
    const visible = (node) => node.visible && (!node.parent || node.parent.visible);
    const toggle = (name, on) => {
      scene.traverse((node) => {
        if (!node.isMesh && node.userData.name === name) node.visible = on;
      });
      ask();
    };
    return { ask, turn, zoom, shift, look, choose, hit, toggle };
  };

  const groups = [...dialog.querySelectorAll("[data-group]")];
  const switched = (button) => {
    const on = button.getAttribute("aria-pressed") === "true";
    shown.toggle(button.dataset.group, on);
    if (button.dataset.instead) shown.toggle(button.dataset.instead, !on);
  };

  const pointers = new Map();
  let travelled = 0;
  const spread = () => {
    const [a, b] = [...pointers.values()];
    return { x: (a.x + b.x) / 2, y: (a.y + b.y) / 2, gap: Math.hypot(a.x - b.x, a.y - b.y) };
  };
  const listen = () => {
    canvas.addEventListener("pointerdown", (event) => {
      canvas.setPointerCapture(event.pointerId);
      if (pointers.size === 0) travelled = 0;
      pointers.set(event.pointerId, { x: event.clientX, y: event.clientY });
    });
    canvas.addEventListener("pointermove", (event) => {
      const was = pointers.get(event.pointerId);
      if (!was) return;
      const before = pointers.size === 2 ? spread() : null;
      const dx = event.clientX - was.x;
      const dy = event.clientY - was.y;
      travelled += Math.abs(dx) + Math.abs(dy);
      pointers.set(event.pointerId, { x: event.clientX, y: event.clientY });
      if (before) {
        const after = spread();
        if (after.gap > 0) shown.zoom(before.gap / after.gap);
        shown.shift(after.x - before.x, after.y - before.y);
      } else if (event.shiftKey) {
        shown.shift(dx, dy);
      } else {
        const scale = Math.PI / Math.max(canvas.clientHeight, 1);
        shown.turn(dx * scale, dy * scale);
      }
    });
    const end = (event) => {
      if (event.type === "pointerup" && pointers.size === 1 && travelled < 6) {
        shown.hit(event.clientX, event.clientY);
      }
      pointers.delete(event.pointerId);
    };
    canvas.addEventListener("pointerup", end);
    canvas.addEventListener("pointercancel", end);
    canvas.addEventListener(
      "wheel",
      (event) => {
        event.preventDefault();
        shown.zoom(Math.exp(event.deltaY * 0.001));
      },
      { passive: false },
    );
    canvas.addEventListener("keydown", (event) => {
      const does = KEYS[event.key];
      if (!does || event.ctrlKey || event.metaKey || event.altKey) return;
      event.preventDefault();
      does();
    });
    list.addEventListener("change", () => shown.choose(list.value));
    for (const button of dialog.querySelectorAll("[data-does]")) {
      button.addEventListener("click", () => KEYS[button.dataset.does]());
    }
    for (const button of dialog.querySelectorAll("[data-view]")) {
      button.addEventListener("click", () => shown.look(button.dataset.view));
    }
    for (const button of groups) {
      button.addEventListener("click", () => {
        button.setAttribute("aria-pressed", String(button.getAttribute("aria-pressed") !== "true"));
        switched(button);
      });
    }
    new ResizeObserver(() => shown.ask()).observe(canvas);
  };
  const KEYS = {
    ArrowLeft: () => shown.turn(-STEP, 0),
    ArrowRight: () => shown.turn(STEP, 0),
    ArrowUp: () => shown.turn(0, -STEP),
    ArrowDown: () => shown.turn(0, STEP),
    "+": () => shown.zoom(0.8),
    "=": () => shown.zoom(0.8),
    "-": () => shown.zoom(1.25),
    Home: () => shown.look("oblique"),
  };

  const open = (name) => {
    if (typeof dialog.showModal === "function") dialog.showModal();
    else dialog.setAttribute("open", "");
    const ready = () => {
      shown.choose(name);
      canvas.focus();
    };
    if (shown) {
      ready();
      return;
    }
    said.textContent = "Loading…";
    new THREE.GLTFLoader().parse(
      bytes(),
      "",
      (gltf) => {
        try {
          shown = build(gltf.scene);
        } catch (refused) {
          said.textContent = "This browser cannot draw in 3D. The pictures in the steps show the same things.";
          return;
        }
        groups.forEach(switched);
        listen();
        shown.look("oblique");
        ready();
      },
      () => {
        said.textContent = "The 3D view cannot be read. The pictures in the steps show the same things.";
      },
    );
  };
  for (const button of document.querySelectorAll("[data-opens]")) {
    button.addEventListener("click", () => open(button.dataset.opens));
  }
  dialog.querySelector(".close").addEventListener("click", () => {
    if (typeof dialog.close === "function") dialog.close();
    else dialog.removeAttribute("open");
  });
})();
