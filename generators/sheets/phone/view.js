"use strict";
// The assembly, read when it is first opened. How it is turned and touched is turning.js.
(() => {
  const dialog = document.getElementById("space");
  const list = dialog.querySelector("select");
  const said = dialog.querySelector(".said");
  const titles = JSON.parse(document.getElementById("titles").textContent);
  const groups = [...dialog.querySelectorAll("[data-group]")];
  let shown = null;

  const build = (scene) => {
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
    const ball = new THREE.Sphere();
    const layers = () => {
      const seen = things.filter((node) => node.visible && (!node.parent || node.parent.visible));
      return [seen.filter((node) => !node.userData.blend), seen];
    };
    const view = window.turning.view(dialog, {
      up: "y", behind: Math.PI, near: 0.01, far: 100, sky: 0.65, sun: 0.55,
      reach: () => [ball.radius * 0.1, ball.radius * 20],
      before: () => {
        for (const [node, edges] of lines) edges.material.opacity = 0.6 * node.material.opacity;
      },
      layers,
      touched: (mesh) => choose(mesh ? named(mesh) : ""),
    });
    view.world.add(scene);
    for (const node of things) if (!node.material.transparent) view.box.expandByObject(node);
    if (view.box.isEmpty()) view.box.setFromObject(scene);
    view.box.getBoundingSphere(ball);
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
      view.ask();
    };
    const toggle = (name, on) => {
      scene.traverse((node) => {
        if (!node.isMesh && node.userData.name === name) node.visible = on;
      });
      view.ask();
    };
    return { canvas: view.canvas, look: view.look, choose, toggle };
  };

  const switched = (button) => {
    const on = button.getAttribute("aria-pressed") === "true";
    shown.toggle(button.dataset.group, on);
    if (button.dataset.instead) shown.toggle(button.dataset.instead, !on);
  };

  const open = (name) => {
    if (typeof dialog.showModal === "function") dialog.showModal();
    else dialog.setAttribute("open", "");
    const ready = () => {
      shown.choose(name);
      shown.canvas.focus();
    };
    if (shown) {
      ready();
      return;
    }
    said.textContent = "Loading…";
    new THREE.GLTFLoader().parse(
      window.turning.unpacked(document.getElementById("assembly").textContent),
      "",
      (gltf) => {
        try {
          shown = build(gltf.scene);
        } catch (refused) {
          said.textContent = "This browser cannot draw in 3D. The pictures in the steps show the same things.";
          return;
        }
        groups.forEach(switched);
        list.addEventListener("change", () => shown.choose(list.value));
        window.turning.switches(groups, switched);
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
