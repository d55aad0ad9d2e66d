"use strict";
// The job in space; pedals go by their sliders. How it is turned and touched is turning.js.
window.spaceView = (root) => {
  const said = root.querySelector(".said");
  const list = root.querySelector("select");
  const COLOURS = {
    panel: 0xd6d2c8, part: 0x56829f, hose: 0x8a4a38, bolt: 0x60626a, cylinder: 0x96969c, reservoir: 0xd8cf9c,
    fitting: 0xb8944a, clamp: 0x7c7064, pedal: 0x2c5c54, pad: 0x1e2226, rod: 0x78a096, stop: 0xc44836,
    obstacle: 0x808696, zone: 0xd0945c,
  };
  let scene = new THREE.Group();
  let nodes = new Map();
  let pairs = [];
  let data = null;
  const pressed = {};
  let looked = false;

  const floats = (text) => new Float32Array(window.turning.unpacked(text));
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
    view.ask();
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

  const light = (name) => {
    list.value = nodes.has(name) ? name : "";
    said.textContent = nodes.has(list.value) ? list.selectedOptions[0].textContent : "";
    if (data) paint();
  };
  const layers = () => {
    const seen = [...nodes.values()].filter((node) => node.visible);
    const meshes = (some) => some.map((node) => node.children[0]);
    return [meshes(seen.filter((node) => node.userData.alpha === 1)), meshes(seen)];
  };
  const touched = (mesh) => light(mesh ? mesh.parent.userData.name : "");
  const first = () => {
    if (looked || !data || !view.canvas.clientWidth) return;
    looked = true;
    view.look("oblique");
  };

  let view;
  try {
    view = window.turning.view(root, {
      up: "z", behind: 0, near: 10, far: 50000, sky: 0.7, sun: 0.5,
      reach: () => [60, 30000], resized: first, layers, touched,
    });
  } catch (refused) {
    said.textContent = "This browser cannot draw in 3D. The pictures show the same things.";
    return { show: () => {}, light: () => {} };
  }
  view.world.add(scene);
  list.addEventListener("change", () => light(list.value));
  window.turning.switches(root.querySelectorAll("[data-show]"), () => {
    if (data) paint();
  });

  const show = (given) => {
    data = given;
    view.world.remove(scene);
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
    view.world.add(scene);
    view.box.makeEmpty();
    for (const node of nodes.values()) if (node.userData.alpha === 1) view.box.expandByObject(node);
    const before = list.value;
    list.replaceChildren(
      new Option("nothing", ""),
      ...data.things.map((one) => new Option(one.title || one.name.replaceAll("_", " "), one.name)),
    );
    list.value = nodes.has(before) ? before : "";
    root.querySelector(".pairs").replaceChildren(
      ...data.pairs.map((pair) => {
        const row = document.createElement("li");
        row.textContent = `${pair.gap} between ${pair.first} and ${pair.second}${pair.words}`;
        return row;
      }),
    );
    sliders();
    press();
    first();
  };
  return { show, light };
};
