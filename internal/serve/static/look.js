// A worker of guide.js. It finds the mat in a picture of the camera, by the AprilTag
// library (tags.wasm), and says what would make a better photo. Places are pixels of
// the picture as it is looked at, x right, y down; mm are those of the mat's paper.
"use strict";

const longest = 960; // px of a picture as it is looked at: in half of its time at 1280 px as many tags are found
const plain = 2.5;   // px that a part of a tag takes where a search in a picture 1.5 times smaller finds it too, in half the time

let finder, known, canvas, pen, last, decimate = 1;

onmessage = async ({ data }) => {
  try {
    if (data.wasm) { postMessage(await open(data)); return; }
    postMessage(look(data));
  } catch (error) {
    postMessage({ failed: String(error) });
  }
};

async function open({ wasm, mats }) {
  const [code, told] = await Promise.all([fetch(wasm), fetch(mats)]);
  known = await told.json();
  finder = (await WebAssembly.instantiate(await code.arrayBuffer())).instance.exports;
  finder._initialize();
  return {};
}

// look says how the mat lies in a picture that was seen at a time, ms. side is the longer
// side, in px, of the photo that would be taken now. A photo that was taken has neither.
function look({ picture, at, side }) {
  const shrink = Math.min(1, longest / Math.max(picture.width, picture.height));
  const w = Math.round(shrink * picture.width), h = Math.round(shrink * picture.height);
  const tags = find(picture, w, h);
  const enlarged = (side || Math.max(picture.width, picture.height)) / Math.max(w, h);
  picture.close();
  return { w, h, ...judge(tags, w, h, enlarged, at) };
}

function find(picture, w, h) {
  if (!canvas || canvas.width !== w || canvas.height !== h) {
    canvas = new OffscreenCanvas(w, h);
    pen = canvas.getContext("2d", { willReadFrequently: true });
  }
  pen.drawImage(picture, 0, 0, w, h);
  const colours = pen.getImageData(0, 0, w, h).data;
  const at = finder.room(w, h);
  if (!at) { throw new Error("no memory for a picture"); }
  const gray = new Uint8Array(finder.memory.buffer, at, w * h);
  for (let i = 0, j = 0; i < gray.length; i++, j += 4) { gray[i] = (77 * colours[j] + 150 * colours[j + 1] + 29 * colours[j + 2]) >> 8; }
  const n = finder.find(decimate);
  const list = new Float32Array(finder.memory.buffer, finder.list(), 9 * n);
  return Array.from({ length: n }, (_, i) => ({ id: list[9 * i], corners: [0, 1, 2, 3].map((k) => [list[9 * i + 1 + 2 * k], list[9 * i + 2 + 2 * k]]) }));
}

const corners = ([left, top, right, bottom]) => [[left, top], [right, top], [right, bottom], [left, bottom]];
const apart = (a, b) => Math.hypot(a[0] - b[0], a[1] - b[1]);

// judge says what is to be done next, and how much is well already.
function judge(tags, w, h, enlarged, at) {
  const { mat, seen } = vote(tags);
  const fits = Math.max(...known.mats.filter((m) => !mat || m === mat).map((m) => fitting(m.paper, w, h)));
  const coarse = enlarged * fits < known.px_per_mm; // even where the mat fills the picture
  if (!mat) { last = undefined; decimate = 1; return { word: coarse ? "coarse" : "find", coarse }; }
  const to = placed(seen.flatMap((t) => corners(mat.tags[t.id]).map((mm, k) => [mm, t.corners[k]])), seen.length >= 4, w, h);
  const scale = pxPerMM(to, [(mat.field[0] + mat.field[2]) / 2, (mat.field[1] + mat.field[3]) / 2]);
  const gone = missing(mat, seen, to, w, h);
  const lean = leaning(to, w, h);
  const speed = moved(seen, at) / scale;
  const part = gone.side * scale / 8;
  decimate = part < plain ? 1 : 1.5;
  const out = {
    paper: corners([0, 0, ...mat.paper]).map(to.point), tags: seen.map((t) => t.corners), coarse, scale: enlarged * scale, tilt: lean.tilt, speed,
    whole: gone.away.length + gone.covered.length === 0, near: outwards(gone) !== "higher" && enlarged * scale >= known.px_per_mm,
    level: seen.length >= 4 && lean.tilt * doubt <= known.tilt_deg, still: speed <= known.blur_mm / exposure,
  };
  return { ...out, ...next(out, gone, lean, part) };
}

const exposure = 1 / 30; // s, a long one
const doubt = 1.15;      // a focal length that is not known makes tilts wrong by so much

// next is the first thing to do; the others wait for it.
function next(out, gone, lean, part) {
  if (out.coarse) { return { word: "coarse" }; }
  if (part < 2 && !out.whole) { return { word: "lower" }; } // too small for all tags to be read
  if (gone.away.length > 0) { const word = outwards(gone); return { word, towards: word === "higher" ? undefined : gone.towards }; }
  if (!out.level) { return { word: "lift", towards: lean.nearer }; } // before the height: held level, it may be near enough
  if (!out.near) { return { word: "lower" }; }
  if (!out.whole || gone.few) { return { word: "clear", covered: gone.covered }; }
  return { word: out.still ? "well" : "still" };
}

// vote takes the mat that most tags belong to.
function vote(tags) {
  let best = { seen: [] };
  for (const mat of known.mats) {
    const seen = tags.filter((t) => mat.tags[t.id]);
    if (seen.length > best.seen.length) { best = { mat, seen }; }
  }
  return best;
}

// fitting is how many px a mm of the paper has where the paper just fills the picture.
function fitting(paper, w, h) {
  const [long, short] = [Math.max(...paper), Math.min(...paper)];
  return Math.min(Math.max(w, h) / long, Math.min(w, h) / short);
}

// missing are the tags that are not seen: those of corners that lie outside the picture,
// and on which sides, and those that are hidden inside it.
function missing(mat, seen, to, w, h) {
  const all = Object.entries(mat.tags);
  const edge = [0, 1, 2, 3].map((k) => (k < 2 ? Math.min : Math.max)(...all.map(([, box]) => box[k])));
  const away = [], covered = [], beyond = [0, 0, 0, 0]; // left, top, right, bottom
  const rim = w / 100; // px of white that a tag needs round it, and more
  for (const [id, box] of all) {
    if (seen.some((t) => t.id === Number(id))) { continue; }
    const quad = corners(box).map(to.point);
    const far = [Math.max(...quad.map((p) => -p[0])), Math.max(...quad.map((p) => -p[1])), Math.max(...quad.map((p) => p[0] - w)), Math.max(...quad.map((p) => p[1] - h))];
    const corner = (box[0] === edge[0] || box[2] === edge[2]) && (box[1] === edge[1] || box[3] === edge[3]);
    if (Math.max(...far) < -rim) { covered.push(quad); continue; }
    if (corner) { away.push(quad); far.forEach((d, k) => { beyond[k] = Math.max(beyond[k], d + rim); }); }
  }
  const side = all[0][1][2] - all[0][1][0];
  return { away, covered, beyond, side, few: 4 * covered.length > all.length, towards: Math.atan2(beyond[3] - beyond[1], beyond[2] - beyond[0]) };
}

// outwards says where to move the camera so that the corners come in: where the mat goes
// out on both sides, up.
function outwards({ away, beyond: [left, top, right, bottom], towards }) {
  if (away.length === 0) { return ""; }
  if (Math.min(left, right) > 0 || Math.min(top, bottom) > 0) { return "higher"; }
  return ["right", "back", "left", "forward"][(Math.round(towards / (Math.PI / 2)) + 4) % 4];
}

// moved is how fast the mat goes through the picture, px/s.
function moved(seen, at) {
  const before = last;
  last = at && { at, tags: new Map(seen.map((t) => [t.id, t.corners[0]])) };
  const steps = before && last ? seen.filter((t) => before.tags.has(t.id)).map((t) => apart(t.corners[0], before.tags.get(t.id))).sort((a, b) => a - b) : [];
  return steps.length > 0 ? steps[steps.length >> 1] / ((at - before.at) / 1000) : Infinity;
}

// placed fits the map from the mat to the picture to pairs of points, by least squares:
// a homography, or an affine one where few tags tell too little of the perspective.
function placed(pairs, perspective, w, h) {
  const mm = 100, px = Math.max(w, h) / 2; // so that all numbers are about 1
  const rows = pairs.flatMap(([[x, y], [u, v]]) => {
    [x, y, u, v] = [x / mm, y / mm, (u - w / 2) / px, (v - h / 2) / px];
    return perspective ? [[x, y, 1, 0, 0, 0, -u * x, -u * y, u], [0, 0, 0, x, y, 1, -v * x, -v * y, v]] : [[x, y, 1, 0, 0, 0, u], [0, 0, 0, x, y, 1, v]];
  });
  const [a, b, c, d, e, f, g = 0, i = 0] = solved(rows);
  const rowsOf = [[a / mm, b / mm, c], [d / mm, e / mm, f], [g / mm, i / mm, 1]];
  const point = ([x, y]) => {
    const [p, q, s] = rowsOf.map((r) => r[0] * x + r[1] * y + r[2]);
    return [w / 2 + px * p / s, h / 2 + px * q / s];
  };
  return { point, rows: rowsOf, px };
}

// solved is the solution of equations, each its coefficients and right side, by the
// normal equations and Gaussian elimination.
function solved(rows) {
  const n = rows[0].length - 1;
  const m = Array.from({ length: n }, (_, i) => Array.from({ length: n + 1 }, (_, j) => rows.reduce((sum, r) => sum + r[i] * r[j], 0)));
  for (let k = 0; k < n; k++) {
    const best = m.reduce((at, r, i) => (i >= k && Math.abs(r[k]) > Math.abs(m[at][k]) ? i : at), k);
    [m[k], m[best]] = [m[best], m[k]];
    for (let i = 0; i < n; i++) {
      if (i === k) { continue; }
      const f = m[i][k] / m[k][k];
      for (let j = k; j <= n; j++) { m[i][j] -= f * m[k][j]; }
    }
  }
  return m.map((r, i) => r[n] / r[i]);
}

// pxPerMM is how many pixels of the picture a mm has at a place, in the direction that
// has fewer: the smaller singular value there.
function pxPerMM({ point }, [x, y]) {
  const o = point([x, y]);
  const [p, q] = [point([x + 1, y]), point([x, y + 1])].map((at) => [at[0] - o[0], at[1] - o[1]]);
  const a = p[0] ** 2 + p[1] ** 2, b = p[0] * q[0] + p[1] * q[1], d = q[0] ** 2 + q[1] ** 2;
  return Math.sqrt(Math.max(0, (a + d) / 2 - Math.hypot((a - d) / 2, b)));
}

// leaning is how far the camera's axis is from plumb, in degrees, and towards which
// side of the picture the mat is nearer. The columns of the map, taken back through the
// lens, are the mat's axes as the camera sees them; their normal is the plumb line.
function leaning({ rows, px }, w, h) {
  const f = known.focal * Math.max(w, h) / px;
  const [a, b] = [0, 1].map((k) => [rows[0][k] / f, rows[1][k] / f, rows[2][k]]);
  const n = [a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]];
  return { tilt: Math.acos(Math.min(1, Math.abs(n[2]) / Math.hypot(...n))) * 180 / Math.PI, nearer: Math.atan2(n[1] * Math.sign(n[2]), n[0] * Math.sign(n[2])) };
}
