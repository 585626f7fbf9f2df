// The viewer of the job sheet: shows the meshes of a page in its element with the id "viewer".
//
// Input: a JSON block with the id "model":
//   { "parts": [{ "name", "colour": "#rrggbb", "opacity", "positions": base64 of little-endian f32,
//                 "indices": base64 of little-endian u32 }],
//     "dimensions": [{ "from": [x, y, z], "to": [x, y, z], "label" }] }
// in millimetres, Z up, +Y outward. Nothing is loaded from anywhere. Without WebGL the element stays
// hidden, the one with the id "still" stays shown, and the page has its pictures.

import {
  AmbientLight, Box3, BufferAttribute, BufferGeometry, BackSide, Color, DirectionalLight, DoubleSide,
  EdgesGeometry, FrontSide, GridHelper, Group, LineBasicMaterial, LineSegments, Mesh,
  MeshBasicMaterial, MeshLambertMaterial, OrthographicCamera, Plane, Raycaster, Scene, Sphere,
  Spherical, Vector2, Vector3, WebGLRenderer,
} from 'three';
import { OrbitControls } from 'three/addons/controls/OrbitControls.js';
import { toCreasedNormals } from 'three/addons/utils/BufferGeometryUtils.js';

const CREASE = 25 * Math.PI / 180; // the edge angle of the pictures, so that both show the same
// Where one stands to look. The trunk is at -Y and the path at +Y; seen from the path, +X is left.
const VIEWS = {
  'from the path': [0, 1, 0], 'from the bark': [0, -1, 0], 'from the left': [1, 0, 0],
  'from the right': [-1, 0, 0], 'from above': [0, 0.0001, 1], 'from below': [0, 0.0001, -1],
  'from the path, above and right': [-0.52, 0.74, 0.42],
};
const AT_FIRST = 'from the path, above and right';
const STEP = Math.PI / 24; // a turn by one key press

function make(tag, attributes = {}, ...children) {
  const element = document.createElement(tag);
  for (const [key, value] of Object.entries(attributes)) {
    if (key.startsWith('on')) element.addEventListener(key.slice(2), value);
    else if (value !== false) element.setAttribute(key, value === true ? '' : value);
  }
  element.append(...children);
  return element;
}

function bytes(base64) {
  const text = atob(base64);
  const out = new Uint8Array(text.length);
  for (let i = 0; i < text.length; i++) out[i] = text.charCodeAt(i);
  return out.buffer;
}

function start() {
  const host = document.getElementById('viewer');
  const block = document.getElementById('model');
  if (!host || !block) return;
  const model = JSON.parse(block.textContent);
  if (!model.parts.length) return;
  // Asked for here, since the library complains on the console where there is none.
  const canvas = document.createElement('canvas');
  const context = canvas.getContext('webgl2', { antialias: true, preserveDrawingBuffer: true });
  if (!context) return;
  const renderer = new WebGLRenderer({ canvas, context });
  renderer.localClippingEnabled = true;
  renderer.setPixelRatio(Math.min(window.devicePixelRatio || 1, 2));

  const scene = new Scene();
  const camera = new OrthographicCamera(-1, 1, 1, -1, -1, 1);
  camera.up.set(0, 0, 1);
  const lamp = new DirectionalLight(0xffffff, 2.1);
  const fill = new DirectionalLight(0xffffff, 0.8);
  camera.add(lamp, fill, lamp.target, fill.target);
  lamp.position.set(-0.45, 0.45, 0.77);
  fill.position.set(0.8, 0.1, 0.59);
  scene.add(camera, new AmbientLight(0xffffff, 1.2));

  const clip = new Plane(new Vector3(-1, 0, 0), 0);
  const planes = [];
  const parts = model.parts.map((part) => {
    const flat = new BufferGeometry();
    flat.setAttribute('position', new BufferAttribute(new Float32Array(bytes(part.positions)), 3));
    flat.setIndex(new BufferAttribute(new Uint32Array(bytes(part.indices)), 1));
    const colour = new Color(part.colour);
    const glass = part.opacity < 1;
    const looks = {
      color: colour, transparent: glass, opacity: part.opacity, depthWrite: !glass,
      clippingPlanes: planes,
    };
    const shell = new Mesh(toCreasedNormals(flat, CREASE), new MeshLambertMaterial({
      ...looks, side: FrontSide, polygonOffset: true, polygonOffsetFactor: 1, polygonOffsetUnits: 1,
    }));
    // Inner faces in one plain colour look like a solid that is cut.
    const inside = new Mesh(shell.geometry, new MeshBasicMaterial({
      ...looks, color: colour.clone().multiplyScalar(0.55), side: BackSide,
    }));
    inside.visible = !glass;
    const edges = new LineSegments(new EdgesGeometry(flat, 25), new LineBasicMaterial({
      color: 0x1c1e22, transparent: glass, opacity: glass ? 0.5 : 1, clippingPlanes: planes,
    }));
    const group = new Group();
    group.add(shell, inside, edges);
    scene.add(group);
    return { name: part.name, group, shell, edges };
  });

  const everything = new Box3();
  parts.forEach((part) => everything.expandByObject(part.group));
  const ball = everything.getBoundingSphere(new Sphere());
  const size = everything.getSize(new Vector3());

  // A millimetre grid in the plane on which the lowest part stands.
  const extent = Math.ceil(Math.max(size.x, size.y) * 1.2 / 100) * 100;
  const grid = new Group();
  const coarse = new GridHelper(extent, extent / 10, 0x8a8a8a, 0x9a9a9a);
  const fine = extent <= 400 ? new GridHelper(extent, extent, 0xb5b5b5, 0xb5b5b5) : null;
  for (const g of [fine, coarse]) {
    if (!g) continue;
    g.material.transparent = true;
    g.material.opacity = g === fine ? 0.25 : 0.6;
    grid.add(g);
  }
  grid.rotation.x = Math.PI / 2;
  const floor = everything.min.z - 0.5;
  grid.position.set(Math.round(ball.center.x / 10) * 10, Math.round(ball.center.y / 10) * 10, floor);
  grid.visible = false;
  scene.add(grid);

  canvas.tabIndex = 0;
  canvas.setAttribute('role', 'application');
  canvas.setAttribute('aria-label', 'parts in three dimensions');
  canvas.setAttribute('aria-describedby', 'viewer-keys');
  const key = (name) => make('kbd', {}, name);
  const keys = make('p', { id: 'viewer-keys', class: 'source' },
    'Drag, wheel and right drag, or with the picture in focus: arrow keys turn, ', key('shift'),
    ' and arrow keys move, ', key('+'), ' and ', key('-'), ' zoom. A view\'s button fits the picture',
    ' again. To measure, tick the box; then click two points, or bring each under the cross and press ',
    key('Enter'), '.');
  const controls = new OrbitControls(camera, canvas);
  controls.enableDamping = false;

  // Labels of dimensions are page text over the picture: sharp, and read by screen readers.
  const labels = make('div', { class: 'labels' });
  const cross = make('div', { class: 'cross', hidden: true, 'aria-hidden': 'true' });
  const frame = make('div', { class: 'frame' }, canvas, labels, cross);
  const marks = new Group();
  scene.add(marks);
  const measured = [];

  function mark(from, to, text, own) {
    const [a, b] = [new Vector3(...from), new Vector3(...to)];
    const geometry = new BufferGeometry().setFromPoints([a, b]);
    const line = new LineSegments(geometry, new LineBasicMaterial({
      color: own ? 0xc2185b : 0x00768f, depthTest: false,
    }));
    line.renderOrder = 10;
    const label = make('span', { class: own ? 'measure' : 'dimension' }, text);
    labels.append(label);
    marks.add(line);
    const entry = { line, label, at: a.add(b).multiplyScalar(0.5), own };
    measured.push(entry);
    return entry;
  }
  for (const d of model.dimensions || []) mark(d.from, d.to, d.label, false);

  let queued = false;
  function draw() {
    if (queued) return;
    queued = true;
    requestAnimationFrame(() => {
      queued = false;
      const style = getComputedStyle(host);
      renderer.setClearColor(new Color(style.getPropertyValue('--paper').trim() || '#ffffff'));
      renderer.render(scene, camera);
      const box = { w: canvas.clientWidth, h: canvas.clientHeight };
      for (const m of measured) {
        const p = m.at.clone().project(camera);
        m.label.hidden = !m.line.visible;
        m.label.style.transform = `translate(-50%, -50%) translate(${(p.x + 1) / 2 * box.w}px, ${
          (1 - p.y) / 2 * box.h}px)`;
      }
    });
  }

  function resize() {
    const w = Math.max(frame.clientWidth, 1);
    const h = Math.max(frame.clientHeight, 1);
    renderer.setSize(w, h, false);
    const half = ball.radius * 1.05 || 1;
    const k = Math.min(w, h);
    Object.assign(camera, {
      left: -half * w / k, right: half * w / k, top: half * h / k, bottom: -half * h / k,
      near: -20 * half, far: 20 * half,
    });
    camera.updateProjectionMatrix();
    draw();
  }

  function look(direction) {
    const way = new Vector3(...direction).normalize().multiplyScalar(ball.radius * 2 || 1);
    controls.target.copy(ball.center);
    camera.position.copy(ball.center).add(way);
    camera.zoom = 1;
    camera.updateProjectionMatrix();
    controls.update();
    draw();
  }

  function turn(right, up) {
    const offset = camera.position.clone().sub(controls.target);
    // OrbitControls turns about the camera's up axis; so do the keys.
    const s = new Spherical().setFromVector3(new Vector3(offset.x, offset.z, -offset.y));
    s.theta += right * STEP;
    s.phi = Math.min(Math.max(s.phi - up * STEP, 0.001), Math.PI - 0.001);
    const v = new Vector3().setFromSpherical(s);
    camera.position.copy(controls.target).add(new Vector3(v.x, -v.z, v.y));
    controls.update();
    draw();
  }

  function move(right, up) {
    const k = (camera.top - camera.bottom) / camera.zoom / 20;
    const x = new Vector3().setFromMatrixColumn(camera.matrix, 0).multiplyScalar(right * k);
    const y = new Vector3().setFromMatrixColumn(camera.matrix, 1).multiplyScalar(up * k);
    for (const v of [camera.position, controls.target]) v.add(x).add(y);
    controls.update();
    draw();
  }

  function zoom(k) {
    camera.zoom = Math.min(Math.max(camera.zoom * k, 0.2), 60);
    camera.updateProjectionMatrix();
    draw();
  }

  const status = make('p', { class: 'status', role: 'status' });
  const say = (text) => { status.textContent = text; };

  function choose(name) {
    look(VIEWS[name]);
    say(`seen ${name}`);
  }

  // Controls beside the picture.
  function toggle(text, on, apply) {
    const box = make('input', {
      type: 'checkbox', checked: on, onchange: () => { apply(box.checked); draw(); },
    });
    apply(on);
    return make('label', {}, box, ` ${text}`);
  }

  let measuring = false;
  let first = null;
  const options = make('fieldset', {}, make('legend', {}, 'show'),
    toggle('edges', true, (on) => parts.forEach((p) => { p.edges.visible = on; })),
    toggle('triangles of the mesh', false, (on) => parts.forEach((p) => {
      p.shell.material.wireframe = on;
      p.shell.material.side = on ? DoubleSide : FrontSide;
    })),
    toggle('millimetre grid', false, (on) => { grid.visible = on; }),
    toggle('dimensions', false, (on) => measured.forEach((m) => {
      if (!m.own) m.line.visible = on;
    })),
    toggle('measure: pick two points', false, (on) => {
      measuring = on;
      first = null;
      cross.hidden = !on;
      say(on ? 'pick the first point' : '');
    }),
    make('button', {
      type: 'button',
      onclick: () => {
        for (const m of measured.filter((e) => e.own)) {
          m.label.remove();
          marks.remove(m.line);
          measured.splice(measured.indexOf(m), 1);
        }
        draw();
      },
    }, 'clear measures'));

  const views = make('fieldset', {}, make('legend', {}, 'view'),
    ...Object.keys(VIEWS).map((name) => make('button', {
      type: 'button', onclick: () => choose(name),
    }, name)));

  const list = make('fieldset', { class: 'parts' }, make('legend', {}, 'parts'),
    ...parts.map((part) => {
      const box = make('input', {
        type: 'checkbox', checked: true, onchange: () => { part.group.visible = box.checked; draw(); },
      });
      const alone = make('button', {
        type: 'button',
        onclick: () => {
          const only = parts.every((p) => p === part || !p.group.visible);
          parts.forEach((p, i) => {
            p.group.visible = only || p === part;
            list.querySelectorAll('input')[i].checked = p.group.visible;
          });
          draw();
        },
      }, 'only');
      alone.setAttribute('aria-label', `only ${part.name}`);
      return make('div', {}, make('label', {}, box, ' ', part.name), alone);
    }));

  const axis = make('select', { 'aria-label': 'section across', onchange: cut },
    ...['none', 'x', 'y', 'z'].map((a) => make('option', { value: a }, a)));
  const slider = make('input', {
    type: 'range', min: '0', max: '1000', value: '500', 'aria-label': 'section position', oninput: cut,
  });
  const where = make('output', {});
  function cut() {
    planes.length = 0;
    const k = 'xyz'.indexOf(axis.value);
    slider.disabled = k < 0;
    where.textContent = '';
    if (k >= 0) {
      const a = 'xyz'[k];
      const at = everything.min[a] + (everything.max[a] - everything.min[a]) * slider.value / 1000;
      clip.normal.set(0, 0, 0)[a] = -1;
      clip.constant = at;
      planes.push(clip);
      where.textContent = `${a} = ${at.toFixed(1)} mm`;
    }
    slider.setAttribute('aria-valuetext', where.textContent || 'no section');
    draw();
  }
  const section = make('fieldset', {}, make('legend', {}, 'section'), axis, slider, where);

  const ray = new Raycaster();
  let down = null;
  canvas.addEventListener('pointerdown', (e) => { down = [e.clientX, e.clientY]; });
  canvas.addEventListener('pointerup', (e) => {
    if (!measuring || !down || Math.hypot(e.clientX - down[0], e.clientY - down[1]) > 4) return;
    const box = canvas.getBoundingClientRect();
    pick(new Vector2((e.clientX - box.left) / box.width * 2 - 1,
      1 - (e.clientY - box.top) / box.height * 2));
  });

  // Takes the point of a part that is seen at this place, -1 to 1 across and up.
  function pick(at) {
    ray.setFromCamera(at, camera);
    const shown = parts.filter((p) => p.group.visible).map((p) => p.shell);
    const hit = ray.intersectObjects(shown, false)
      .find((h) => planes.every((p) => p.distanceToPoint(h.point) >= 0));
    if (!hit) return say('no part there');
    // Snap to a corner of the triangle that is near on the screen.
    const position = hit.object.geometry.getAttribute('position');
    const near = [hit.face.a, hit.face.b, hit.face.c]
      .map((i) => new Vector3().fromBufferAttribute(position, i))
      .map((p) => ({ p, d: p.distanceTo(hit.point) * camera.zoom * canvas.clientHeight }))
      .sort((a, b) => a.d - b.d)[0];
    const reach = 10 * (camera.top - camera.bottom);
    const point = (near.d < reach ? near.p : hit.point).toArray();
    if (!first) {
      first = point;
      return say('pick the second point');
    }
    const d = point.map((x, i) => x - first[i]);
    const text = `${Math.hypot(...d).toFixed(2)} mm`;
    mark(first, point, text, true);
    say(`${text} (x ${d[0].toFixed(2)}, y ${d[1].toFixed(2)}, z ${d[2].toFixed(2)})`);
    first = null;
    draw();
  }

  canvas.addEventListener('keydown', (e) => {
    if (e.ctrlKey || e.altKey || e.metaKey) return;
    const act = e.shiftKey ? move : turn;
    const does = {
      ArrowLeft: () => act(-1, 0), ArrowRight: () => act(1, 0), ArrowUp: () => act(0, 1),
      ArrowDown: () => act(0, -1), '+': () => zoom(1.2), '=': () => zoom(1.2), '-': () => zoom(1 / 1.2),
    };
    if (measuring) does.Enter = () => pick(new Vector2(0, 0));
    if (does[e.key]) {
      does[e.key]();
      e.preventDefault();
    }
  });

  host.append(make('div', {}, frame, status, keys),
    make('div', { class: 'panel' }, views, list, options, section));
  host.hidden = false;
  document.getElementById('still')?.remove();
  controls.addEventListener('change', draw);
  new ResizeObserver(resize).observe(frame);
  matchMedia('(prefers-color-scheme: dark)').addEventListener('change', draw);
  new MutationObserver(draw).observe(document.documentElement, { attributeFilter: ['data-theme'] });
  cut();
  resize();
  look(VIEWS[AT_FIRST]);
}

// The page's own switch of light and dark works without WebGL too.
function theme() {
  const button = document.getElementById('theme');
  if (!button) return;
  button.hidden = false;
  button.addEventListener('click', () => {
    const root = document.documentElement;
    const dark = root.dataset.theme
      ? root.dataset.theme === 'dark'
      : matchMedia('(prefers-color-scheme: dark)').matches;
    root.dataset.theme = dark ? 'light' : 'dark';
  });
}

theme();
start();
