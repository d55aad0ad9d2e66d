"use strict";
// The job in space, turned by a finger, the mouse or the keys; pedals go by their sliders. Drawn when it changes.
window.spaceView = (root) => {
  const canvas = root.querySelector("canvas");
  const said = root.querySelector(".said");
  const list = root.querySelector("select");
  const FIELD = 35;
  const STEP = Math.PI / 12;
  const LOWEST = 0.05;
  const COLOURS = {
    panel: 0xd6d2c8, part: 0x56829f, hose: 0x8a4a38, bolt: 0x60626a, cylinder: 0x96969c, reservoir: 0xd8cf9c,
    fitting: 0xb8944a, clamp: 0x7c7064, pedal: 0x2c5c54, pad: 0x1e2226, rod: 0x78a096, stop: 0xc44836,
    obstacle: 0x808696, zone: 0xd0945c,
  };
  // polar angle from straight up, angle round the vertical from behind the driver
  const VIEWS = { oblique: [1.1, -0.6], driver: [Math.PI / 2, 0], left: [Math.PI / 2, -Math.PI / 2], above: [LOWEST, 0] };
  let renderer;
  try {
    renderer = new THREE.WebGLRenderer({ canvas, antialias: true, alpha: true });
  } catch (refused) {
    said.textContent = "This browser cannot draw in 3D. The pictures show the same things.";
    return { show: () => {}, light: () => {} };
  }
  renderer.setPixelRatio(Math.min(window.devicePixelRatio || 1, 2));
  const camera = new THREE.PerspectiveCamera(FIELD, 1, 10, 50000);
  camera.up.set(0, 0, 1);
  const world = new THREE.Scene();
  world.add(new THREE.HemisphereLight(0xffffff, 0x8a8a80, 0.7));
  const lamp = new THREE.DirectionalLight(0xffffff, 0.5);
  world.add(lamp);
  let scene = new THREE.Group();
  world.add(scene);
  let nodes = new Map();
  let pairs = [];
  let data = null;
  const box = new THREE.Box3();
  const target = new THREE.Vector3();
  const way = { phi: VIEWS.oblique[0], theta: VIEWS.oblique[1], radius: 2000 };
  const pressed = {};
  let looked = false;

  const floats = (text) => {
    const raw = atob(text);
    const bytes = new Uint8Array(raw.length);
    for (let k = 0; k < raw.length; k += 1) bytes[k] = raw.charCodeAt(k);
    return new Float32Array(bytes.buffer);
  };
  const on = (name) => root.querySelector(`[data-show="${name}"]`).getAttribute("aria-pressed") === "true";

  const dispose = (group) =>
    group.traverse((node) => {
      if (node.geometry) node.geometry.dispose();
      if (node.material) node.material.dispose();
    });

  const thing = (one) => {
    const group = new THREE.Group();
    group.userData = one;
    group.matrixAutoUpdate = false;
    const ghost = one.kind === "obstacle" || one.kind === "zone";
    const surface = new THREE.BufferGeometry();
    surface.setAttribute("position", new THREE.BufferAttribute(floats(one.triangles), 3));
    surface.computeVertexNormals();
    const material = new THREE.MeshLambertMaterial({ color: COLOURS[one.kind] || 0x888888, side: THREE.DoubleSide });
    material.polygonOffset = true;
    material.polygonOffsetFactor = 1;
    material.polygonOffsetUnits = 1;
    group.userData.alpha = one.kind === "zone" ? 0.12 : ghost ? 0.35 : 1;
    group.add(new THREE.Mesh(surface, material));
    const edges = new THREE.BufferGeometry();
    edges.setAttribute("position", new THREE.BufferAttribute(floats(one.lines), 3));
    group.add(new THREE.LineSegments(edges, new THREE.LineBasicMaterial({ color: 0x20262a, transparent: true })));
    return group;
  };

  const mark = (pair) => {
    const points = [new THREE.Vector3(...pair.at), new THREE.Vector3(...pair.to)];
    const line = new THREE.Line(
      new THREE.BufferGeometry().setFromPoints(points),
      new THREE.LineBasicMaterial({ color: 0xd00000, depthTest: false, transparent: true }),
    );
    line.renderOrder = 2;
    const ends = new THREE.Points(
      new THREE.BufferGeometry().setFromPoints(points),
      new THREE.PointsMaterial({ color: 0xd00000, size: 7, sizeAttenuation: false, depthTest: false, transparent: true }),
    );
    ends.renderOrder = 2;
    const group = new THREE.Group();
    group.add(line, ends);
    return group;
  };

  const paint = () => {
    const chosen = list.value;
    for (const [name, node] of nodes) {
      const { kind, group } = node.userData;
      node.visible = !(
        (group === data.groups.bolts && !on("bolts")) ||
        (group === data.groups.obstacles && !on("obstacles")) ||
        (group === data.groups.zones && !on("zones"))
      );
      const pale = chosen ? name !== chosen : on("through") && (kind === "panel" || kind === "part");
      const alpha = pale ? Math.min(chosen ? 0.1 : 0.3, node.userData.alpha) : node.userData.alpha;
      const [mesh, edges] = node.children;
      mesh.material.opacity = alpha;
      mesh.material.transparent = alpha < 1;
      mesh.material.depthWrite = alpha === 1;
      mesh.material.needsUpdate = true;
      edges.material.opacity = 0.7 * Math.max(alpha, 0.25);
    }
    const stop = Object.values(pressed).some((share) => share > 0.99);
    pairs.forEach((node, k) => {
      node.visible = on("pairs") && (!data.pairs[k].stop || stop);
    });
    ask();
  };

  const press = () => {
    for (const one of data.moving) {
      const node = nodes.get(one.name);
      if (!node) continue;
      const pose = one.poses[Math.round((pressed[one.pedal] || 0) * (one.poses.length - 1))];
      node.matrix.set(...pose);
      node.matrixWorldNeedsUpdate = true;
    }
    paint();
  };

  const sliders = () => {
    const room = root.querySelector(".sliders");
    const names = [...new Set(data.moving.map((one) => one.pedal))];
    if (names.join() === [...room.querySelectorAll("input")].map((i) => i.name).join()) return;
    room.replaceChildren(
      ...names.map((name) => {
        const label = document.createElement("label");
        const input = Object.assign(document.createElement("input"), { type: "range", name, min: 0, max: 100, value: 0 });
        const tell = document.createElement("output");
        tell.textContent = "at rest";
        input.addEventListener("input", () => {
          pressed[name] = input.value / 100;
          tell.textContent = input.value === "0" ? "at rest" : input.value === "100" ? "at its end" : `${input.value} % of its way`;
          press();
        });
        label.append(`${name.replaceAll("_", " ")} pressed `, input, tell);
        return label;
      }),
    );
  };

  const fit = () => {
    const s = Math.sin(way.phi);
    const back = new THREE.Vector3(s * Math.cos(way.theta), s * Math.sin(way.theta), Math.cos(way.phi));
    const right = new THREE.Vector3(0, 0, 1).cross(back).normalize();
    const up = new THREE.Vector3().crossVectors(back, right);
    const tall = Math.tan((FIELD * Math.PI) / 360);
    let most = 0;
    for (let k = 0; k < 8; k += 1) {
      const at = new THREE.Vector3(...["x", "y", "z"].map((axis, bit) => (k & (1 << bit) ? box.max : box.min)[axis])).sub(target);
      most = Math.max(most, at.dot(back) + Math.max(Math.abs(at.dot(right)) / (tall * camera.aspect), Math.abs(at.dot(up)) / tall));
    }
    return 1.04 * most;
  };
  const draw = () => {
    const wide = canvas.clientWidth;
    const tall = canvas.clientHeight;
    if (!wide || !tall || !data) return;
    renderer.setSize(wide, tall, false);
    camera.aspect = wide / tall;
    camera.updateProjectionMatrix();
    const s = Math.sin(way.phi);
    camera.position.set(s * Math.cos(way.theta), s * Math.sin(way.theta), Math.cos(way.phi)).multiplyScalar(way.radius).add(target);
    camera.lookAt(target);
    lamp.position.copy(camera.position);
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
    way.radius = Math.min(30000, Math.max(60, way.radius));
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
    box.getCenter(target);
    [way.phi, way.theta] = VIEWS[name];
    way.radius = fit();
    bound();
  };
  const light = (name) => {
    list.value = nodes.has(name) ? name : "";
    said.textContent = nodes.has(list.value) ? list.selectedOptions[0].textContent : "";
    if (data) paint();
  };
  const hit = (x, y) => {
    const frame = canvas.getBoundingClientRect();
    const at = new THREE.Vector2((2 * (x - frame.left)) / frame.width - 1, 1 - (2 * (y - frame.top)) / frame.height);
    const ray = new THREE.Raycaster();
    ray.setFromCamera(at, camera);
    const seen = [...nodes.values()].filter((node) => node.visible);
    const meshes = (some) => some.map((node) => node.children[0]);
    const met =
      ray.intersectObjects(meshes(seen.filter((node) => node.userData.alpha === 1)), false)[0] ||
      ray.intersectObjects(meshes(seen), false)[0];
    light(met ? met.object.parent.userData.name : "");
  };

  const MOVES = {
    left: () => turn(-STEP, 0),
    right: () => turn(STEP, 0),
    up: () => turn(0, -STEP),
    down: () => turn(0, STEP),
    near: () => zoom(0.8),
    far: () => zoom(1.25),
  };
  const KEYS = { ArrowLeft: "left", ArrowRight: "right", ArrowUp: "up", ArrowDown: "down", "+": "near", "=": "near", "-": "far" };
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
    if (event.type === "pointerup" && pointers.size === 1 && travelled < 6) hit(event.clientX, event.clientY);
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
  list.addEventListener("change", () => light(list.value));
  for (const button of root.querySelectorAll("[data-turn]")) button.addEventListener("click", () => MOVES[button.dataset.turn]());
  for (const button of root.querySelectorAll("[data-view]")) button.addEventListener("click", () => look(button.dataset.view));
  for (const button of root.querySelectorAll("[data-show]")) {
    button.addEventListener("click", () => {
      button.setAttribute("aria-pressed", String(button.getAttribute("aria-pressed") !== "true"));
      if (data) paint();
    });
  }
  new ResizeObserver(() => {
    if (!looked && data && canvas.clientWidth) {
      looked = true;
      look("oblique");
    }
    ask();
  }).observe(canvas);

  const show = (given) => {
    data = given;
    world.remove(scene);
    dispose(scene);
    scene = new THREE.Group();
    nodes = new Map();
    for (const one of data.things) {
      const node = thing(one);
      nodes.set(one.name, node);
      scene.add(node);
    }
    pairs = data.pairs.map(mark);
    for (const node of pairs) scene.add(node);
    world.add(scene);
    box.makeEmpty();
    for (const node of nodes.values()) if (node.userData.alpha === 1) box.expandByObject(node);
    const before = list.value;
    list.replaceChildren(
      new Option("nothing", ""),
      ...data.things.map((one) => new Option(one.title || one.name.replaceAll("_", " "), one.name)),
    );
    list.value = nodes.has(before) ? before : "";
    root.querySelector(".pairs").replaceChildren(
      ...data.pairs.map((pair) => {
        const row = document.createElement("li");
        row.textContent = `${pair.gap} between ${pair.first} and ${pair.second}${pair.stop ? ", pedals at their stop" : ""}`;
        return row;
      }),
    );
    sliders();
    press();
    if (!looked && canvas.clientWidth) {
      looked = true;
      look("oblique");
    }
  };
  return { show, light };
};
