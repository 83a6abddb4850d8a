'use strict';
const $ = (id) => document.getElementById(id), head = JSON.parse($('room').textContent), box = $('view');
const next = requestAnimationFrame, gl = box.getContext('webgl2'), bytes = Uint8Array.from(atob($('mesh').textContent), (c) => c.charCodeAt(0));
const count = head.points, three = [0, 1, 2], forms = [], normals = [];
let offset = 0;
const take = (Kind, many) => {
  const part = new Kind(bytes.buffer, offset, many);
  offset += Math.ceil(part.byteLength / 4) * 4;
  return part;
};
for (const _ of three) forms.push(take(Int16Array, 3 * count));
for (const _ of three) normals.push(take(Int8Array, 3 * count));
const triangles = take(Uint16Array, 3 * head.triangles), piece = take(Uint16Array, count);
const lines = take(Uint16Array, 2 * head.lines), folds = take(Uint8Array, head.lines), views = head.views;
const at = (p, i) => three.map((k) => p[3 * i + k]), dot = (a, b) => a[0] * b[0] + a[1] * b[1] + a[2] * b[2];
const less = (a, b) => a.map((v, k) => v - b[k]), mixed = (a, b, s) => a.map((v, k) => v + s * (b[k] - v));
const limit = (v, low, high) => Math.max(low, Math.min(high, v));
const names = ['sewn', 'air', 'flat'];
let state = Math.max(0, names.indexOf(location.hash.slice(1)));
if (state === 1 && !head.air) state = 0;
const stand = () => ({ mix: three.map((k) => +(k === state)), aim: views[state].middle, tilt: state === 2 ? [1.3, 1, -1.57] : [0.3, 1, 0.65] });
let now = stand(), chosen = -1, inside = false, measuring = false, marks = [], goal, asked, drawn;

const camera = () => {
  const [t, nearer, turned] = now.tilt, c = Math.cos(turned), s = Math.sin(turned), d = Math.cos(t), e = Math.sin(t);
  const aspect = box.width / box.height, far = (2.4 * nearer * dot(now.mix, views.map((v) => v.reach))) / Math.min(1, aspect);
  return { right: [-s, c, 0], up: [-e * c, -e * s, d], out: [d * c, d * s, e], aspect, far };
};
const say = (text) => { $('said').textContent = text; };
const told = (mm) => {
  const parts = Math.round(mm / 3.175), rest = ['', ' 1/8', ' 1/4', ' 3/8', ' 1/2', ' 5/8', ' 3/4', ' 7/8'][parts % 8];
  return head.inches ? `${(parts / 96) | 0} ft ${(parts / 8 | 0) % 12}${rest} in` : `${Math.round(mm)} mm`;
};
const choose = (number) => {
  $('pieces').value = chosen = number;
  say(number < 0 ? head.hint : head.pieces[number].told);
  draw();
};
// What lies under a point of the screen, nearest to the eye: its piece, and where on it.
const touched = ([x, y]) => {
  const c = camera(), b = box.getBoundingClientRect(), u = ((x - b.left) / b.width) * 2 - 1, v = 1 - ((y - b.top) / b.height) * 2;
  const places = Array.from({ length: count }, (_, i) => three.map((k) => dot(now.mix, forms.map((p) => p[3 * i + k]))));
  const seen = places.map((p) => {
    const q = less(p, now.aim), w = c.far - dot(c.out, q);
    return [(dot(c.right, q) * 2.2) / c.aspect / w - u, (dot(c.up, q) * 2.2) / w - v, w];
  });
  let most = 0, found = -1, spot;
  for (let t = 0; t < triangles.length; t += 3) {
    const ids = at(triangles, t / 3), s = ids.map((i) => seen[i]);
    const share = three.map((k) => s[(k + 1) % 3][0] * s[(k + 2) % 3][1] - s[(k + 1) % 3][1] * s[(k + 2) % 3][0]);
    const sum = share[0] + share[1] + share[2], near = share.map((one, k) => one / sum / s[k][2]);
    const all = near[0] + near[1] + near[2];
    if (!(all > most) || (inside && sum > 0) || near.some((one, k) => one < 0 || s[k][2] < 20)) continue;
    [most, found] = [all, piece[ids[0]]];
    spot = three.map((k) => dot(near, ids.map((i) => places[i][k])) / all);
  }
  if (!measuring || found < 0) return choose(found);
  marks = [...marks.slice(0, marks.length % 2), spot];
  say(marks[1] ? `${told(head.unit_mm * Math.hypot(...less(...marks)))} straight from point to point` : 'Touch the other point.');
  draw();
};
const step = (time) => {
  const t = limit((time - goal.since) / goal.takes, 0, 1);
  for (const key in now) now[key] = mixed(goal.from[key], goal.to[key], t * t * (3 - 2 * t));
  if (t < 1) next(step);
  else goal = 0;
  draw();
};
// From one standing form to the other the eye stays where it is.
const show = (number, back) => {
  if (number === 1 && !head.air) return;
  const stays = !back && !goal && state < 2 && number < 2;
  [state, marks] = [number, []];
  if (!goal) next(step);
  goal = { from: now, to: stays ? { ...now, mix: stand().mix } : stand(), since: performance.now(), takes: matchMedia('(prefers-reduced-motion: reduce)').matches ? 1 : 800 };
  now = { ...now, tilt: [...now.tilt] };
};
const acts = {
  sewn: () => show(0), air: () => show(1), flat: () => show(2),
  inside: () => { inside = !inside; },
  measure: () => { measuring = !measuring; marks = []; say(measuring ? 'Touch two points of the cloth.' : head.hint); },
  all: () => show(state, true),
};
const act = (id) => {
  acts[id]?.();
  const pressed = { inside, measure: measuring };
  names.forEach((name, k) => { pressed[name] = k === state; });
  for (const one in pressed) $(one).ariaPressed = pressed[one];
  draw();
};
for (const id in acts) $(id).onclick = () => act(id);
head.pieces.forEach((one, k) => $('pieces').add(new Option(one.name, k)));
$('pieces').onchange = (e) => choose(+e.target.value);

const turn = (x, y) => { now.tilt[2] -= x; now.tilt[0] = limit(now.tilt[0] + y, -0.3, 1.57); draw(); };
const zoom = (by) => { now.tilt[1] = limit(now.tilt[1] * by, 0.12, 3); draw(); };
const shift = (x, y) => {
  const c = camera(), size = c.far / 1.1 / box.clientHeight;
  now.aim = now.aim.map((v, k) => v + (y * c.up[k] - x * c.right[k]) * size);
  draw();
};
const fingers = new Map(), place = (e) => [e.clientX, e.clientY];
let moved = 0;
box.onpointerdown = (e) => {
  box.setPointerCapture(e.pointerId);
  moved = fingers.size ? 99 : 0;
  fingers.set(e.pointerId, place(e));
};
box.onpointermove = (e) => {
  const was = fingers.get(e.pointerId), is = place(e);
  if (!was) return;
  const [x, y] = less(is, was), other = [...fingers].find(([id]) => id !== e.pointerId);
  moved += Math.hypot(x, y);
  fingers.set(e.pointerId, is);
  if (other) {
    const far = (p) => Math.hypot(...less(p, other[1])) + 9;
    zoom(far(was) / far(is));
    shift(x / 2, y / 2);
  } else (e.shiftKey ? shift : (a, b) => turn(a / 125, b / 125))(x, y);
};
box.onpointerup = box.onpointercancel = (e) => {
  if (fingers.delete(e.pointerId) && moved < 8 && e.type === 'pointerup') touched(place(e));
};
box.addEventListener('wheel', (e) => { e.preventDefault(); zoom(Math.exp(e.deltaY / 800)); }, { passive: false });
const keys = {
  ArrowLeft: () => turn(-0.1, 0), ArrowRight: () => turn(0.1, 0), ArrowUp: () => turn(0, 0.1), ArrowDown: () => turn(0, -0.1),
  '+': () => zoom(0.9), '-': () => zoom(1.1),
};
'123im0'.split('').forEach((key, k) => { keys[key] = () => act(Object.keys(acts)[k]); });
box.onkeydown = (e) => {
  if (!keys[e.key] || e.ctrlKey || e.metaKey || e.altKey) return;
  e.preventDefault();
  keys[e.key]();
};

const HEAD = `#version 300 es
precision highp float; uniform vec4 u[6];`, END = 'out vec4 paint; void main() { paint = vec4(tint', SEEN = `${HEAD}
${[...'abcdef'].map((name, k) => `layout(location=${k}) in vec3 ${name};`).join('')} layout(location=6) in vec4 ink;
out vec3 normal, tint;
vec4 seen(vec3 p, vec3 q, vec3 r) { p = u[0].x * p + u[0].y * q + u[0].z * r - u[1].xyz; float w = u[1].w - dot(u[4].xyz, p);
return vec4(dot(u[2].xyz, p) * 2.2 / u[0].w, dot(u[3].xyz, p) * 2.2, w - 40., w); }
void main() { tint = ink.rgb; vec4 p = seen(a, b, c)`;
const shaders = [[`${SEEN}, q = seen(d, e, f), s = p;
if (p.w < 20.) p = mix(p, q, (20. - p.w) / (q.w - p.w)); if (q.w < 20.) q = mix(q, s, (20. - q.w) / (s.w - q.w));
vec2 way = (q.xy / q.w - p.xy / p.w) * u[5].xy; way = vec2(-way.y, way.x) / max(length(way), 1e-6);
s = (gl_VertexID & 1) == 0 ? p : q; s.xy += way * (gl_VertexID < 2 ? ink.a : -ink.a) / u[5].xy * s.w; s.z -= .08;
gl_Position = s; }`, `${HEAD} in vec3 tint; ${END}, 1.); }`],
[`${SEEN}; gl_Position = p; normal = u[0].x * d + u[0].y * e + u[0].z * f; if (abs(ink.a - u[5].z) < .5) tint = vec3(1., .76, .2); }`,
`${HEAD} in vec3 normal, tint; ${END} * (gl_FrontFacing ? 1. : .8) * (.62 + .38 * (gl_FrontFacing ? 1. : -1.) *
dot(normalize(normal), normalize(u[4].xyz + .5 * u[3].xyz - .35 * u[2].xyz))), 1.); }`]];
const program = (pair) => {
  const made = gl.createProgram();
  pair.forEach((text, k) => {
    const shader = gl.createShader(gl.VERTEX_SHADER - k);
    gl.shaderSource(shader, text);
    gl.compileShader(shader);
    gl.attachShader(made, shader);
  });
  gl.linkProgram(made);
  if (!gl.getProgramParameter(made, gl.LINK_STATUS)) throw Error(gl.getProgramInfoLog(made));
  return made;
};
// Rows of 22 numbers: six points or directions, a colour, and a width or the number of a piece.
const array = (rows, every) => {
  const made = gl.createVertexArray();
  gl.bindVertexArray(made);
  gl.bindBuffer(gl.ARRAY_BUFFER, gl.createBuffer());
  gl.bufferData(gl.ARRAY_BUFFER, new Float32Array(rows.flat(2)), gl.STATIC_DRAW);
  for (let k = 0; k < 7; k++) {
    gl.enableVertexAttribArray(k);
    gl.vertexAttribPointer(k, k < 6 ? 3 : 4, gl.FLOAT, false, 88, 12 * k);
    gl.vertexAttribDivisor(k, every);
  }
  return [made, rows.length];
};
let programs, cloth, cords;
const prepare = () => {
  programs = shaders.map(program);
  cloth = array([...piece].map((one, i) => [...[...forms, ...normals].map((p) => at(p, i)), head.pieces[one].colour, one]), 0);
  gl.bindBuffer(gl.ELEMENT_ARRAY_BUFFER, gl.createBuffer());
  gl.bufferData(gl.ELEMENT_ARRAY_BUFFER, triangles, gl.STATIC_DRAW);
  gl.enable(gl.DEPTH_TEST);
  gl.cullFace(gl.FRONT);
  drawn = 0;
  draw();
};
const string = () => {
  const wide = Math.max(1, devicePixelRatio), still = (p, q, ink, w) => rows.push([p, p, p, q, q, q, ink, w * wide]);
  const ends = (i) => [0, 1].flatMap((k) => forms.map((p) => at(p, lines[2 * i + k])));
  const rows = [...folds].map((fold, i) => [...ends(i), fold ? [0.2, 0.55, 0.35] : [0.2, 0.18, 0.16], wide]);
  const grid = head.grid, end = grid * Math.ceil(Math.max(...views.map((v) => v.reach)) / grid), red = [0.78, 0.1, 0.1], pale = [0.8, 0.78, 0.74];
  for (let x = -end; x <= end; x += grid) {
    still([x, -end, -70], [x, end, -70], pale, 0.6);
    still([-end, x, -70], [end, x, -70], pale, 0.6);
  }
  for (const p of marks) for (const k of three) still(...[-60, 60].map((far) => p.map((v, n) => v + (n === k) * far)), red, 2);
  if (marks[1]) still(...marks, red, 1.6);
  cords = array(rows, 1);
  drawn = marks;
};
const paint = () => {
  asked = 0;
  for (const side of ['Width', 'Height']) box[side.toLowerCase()] = Math.max(1, box[`client${side}`] * Math.min(2, devicePixelRatio));
  if (drawn !== marks) string();
  const c = camera(), { width, height } = box;
  gl.viewport(0, 0, width, height);
  gl.clear(16640);
  const all = [...now.mix, c.aspect, ...now.aim, c.far, ...c.right, 0, ...c.up, 0, ...c.out, 0, width / 2, height / 2, chosen, 0];
  [cords, cloth].forEach(([made, many], k) => {
    gl.useProgram(programs[k]);
    gl.uniform4fv(gl.getUniformLocation(programs[k], 'u'), all);
    gl.bindVertexArray(made);
    gl[inside && k ? 'enable' : 'disable'](gl.CULL_FACE);
    if (k) gl.drawElements(gl.TRIANGLES, triangles.length, gl.UNSIGNED_SHORT, 0);
    else gl.drawArraysInstanced(gl.TRIANGLE_STRIP, 0, 4, many);
  });
  document.documentElement.dataset.shown = goal ? 'moving' : names[state];
};
const draw = () => { if (gl) asked ||= next(paint); };
$('plain').hidden = gl;
box.hidden = !gl;
$('air').disabled = !head.air;
$('noair').hidden = head.air;
if (gl) {
  prepare();
  box.addEventListener('webglcontextlost', (e) => e.preventDefault());
  box.addEventListener('webglcontextrestored', prepare);
  new ResizeObserver(draw).observe(box);
}
say(head.hint);
act();
