// Reads graphs as JSON from standard input, lays each out with elkjs, and prints what came of it.
//
// In: [{name, nodes: [{id, width, height, ports: [id]}], edges: [{id, from, to}]}], millimetres.  Ports have free sides and
// a free order.  Out: {version, node, doors: [{name, crossings, bends, straight, ms}]}: the best of SEEDS by crossings, then
// bends; ms is the processor time of one run on a warm engine.
import { readFileSync } from "node:fs";
import { createRequire } from "node:module";
import ELK from "elkjs/lib/elk.bundled.js";

const SEEDS = 20;
const WARM = 5;
const require = createRequire(import.meta.url);
const elk = new ELK();

function graphOf(door, seed) {
  return {
    id: "root",
    layoutOptions: {
      "elk.algorithm": "layered",
      "elk.direction": "RIGHT",
      "elk.edgeRouting": "ORTHOGONAL",
      "elk.randomSeed": String(seed),
      "elk.spacing.nodeNode": "2.5",
      "elk.spacing.edgeEdge": "2.5",
      "elk.spacing.edgeNode": "2.5",
      "elk.layered.spacing.nodeNodeBetweenLayers": "20",
      "elk.layered.spacing.edgeEdgeBetweenLayers": "2.5",
      "elk.layered.spacing.edgeNodeBetweenLayers": "2.5",
      "elk.spacing.portPort": "5",
    },
    children: door.nodes.map((n) => ({
      id: n.id,
      width: n.width,
      height: n.height,
      ports: n.ports.map((p) => ({ id: p, width: 1.8, height: 1.8 })),
      layoutOptions: { "elk.portConstraints": "FREE", "elk.nodeSize.constraints": "PORTS MINIMUM_SIZE", "elk.nodeSize.minimum": `(${n.width},${n.height})` },
    })),
    edges: door.edges.map((e) => ({ id: e.id, sources: [e.from], targets: [e.to] })),
  };
}

function measure(laid) {
  const lines = [];
  let bends = 0;
  let straight = 0;
  for (const edge of laid.edges) {
    let own = 0;
    for (const s of edge.sections ?? []) {
      const points = [s.startPoint, ...(s.bendPoints ?? []), s.endPoint];
      own += points.length - 2;
      for (let i = 1; i < points.length; i++) lines.push([edge.id, points[i - 1], points[i]]);
    }
    bends += own;
    straight += own === 0;
  }
  const places = new Set(); // two lines that cross twice in one spot are one crossing on paper
  for (let i = 0; i < lines.length; i++) {
    for (let j = i + 1; j < lines.length; j++) {
      const [a, p, q] = lines[i];
      const [b, r, s] = lines[j];
      if (a === b) continue;
      const upright = Math.abs(p.x - q.x) < 1e-6;
      if (upright === Math.abs(r.x - s.x) < 1e-6) continue;
      const [v, w, h, k] = upright ? [p, q, r, s] : [r, s, p, q];
      const inX = v.x > Math.min(h.x, k.x) + 1e-6 && v.x < Math.max(h.x, k.x) - 1e-6;
      const inY = h.y > Math.min(v.y, w.y) + 1e-6 && h.y < Math.max(v.y, w.y) - 1e-6;
      if (inX && inY) places.add(`${v.x.toFixed(3)} ${h.y.toFixed(3)}`);
    }
  }
  return { crossings: places.size, bends, straight };
}

const doors = JSON.parse(readFileSync(0, "utf8"));
const results = [];
for (const door of doors) {
  let best = null;
  for (let seed = 1; seed <= SEEDS; seed++) {
    const found = measure(await elk.layout(graphOf(door, seed)));
    if (!best || found.crossings < best.crossings || (found.crossings === best.crossings && found.bends < best.bends)) best = found;
  }
  for (let n = 0; n < WARM; n++) await elk.layout(graphOf(door, 1));
  const times = [];
  for (let n = 0; n < 5; n++) {
    const before = process.cpuUsage();
    await elk.layout(graphOf(door, 1));
    const used = process.cpuUsage(before);
    times.push((used.user + used.system) / 1000);
  }
  times.sort((a, b) => a - b);
  results.push({ name: door.name, ...best, ms: times[2] });
}
console.log(JSON.stringify({ version: require("elkjs/package.json").version, node: process.version, doors: results }));
