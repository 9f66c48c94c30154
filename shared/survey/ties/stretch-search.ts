import { clippedScores } from './fit.ts';
import type { RowGroup } from './group.ts';
import type { Ties } from './ties.ts';

/** Approximate number of cells that the survey is divided into; a stretch is a run of whole cells. */
const CELLS = 120;

/**
 * The stretch of a log that a constant offset from the rest explains best.
 *
 * The column of a stretch with a constant offset is the sum of the columns of its cells. The contributions of
 * each cell to the numerator of the least-squares quotient, and of each pair of cells to its denominator, are
 * therefore summed once as prefix sums; every candidate stretch then costs only a few lookups.
 */
export function searchStretch(ties: Ties): RowGroup | undefined {
  const { nodes, planes, noise } = ties;
  const cuts = cutsOf(ties);
  const cells = cuts.length - 1;
  if (cells < 2) return undefined;
  const cellOf = new Int32Array(nodes.count);
  for (let cell = 0; cell < cells; cell++) cellOf.fill(cell, cuts[cell], cuts[cell + 1]);
  const score = clippedScores(ties);
  const top = new Float64Array(cells + 1);
  const size = cells + 1;
  const bottom = new Float64Array(size * size);
  const cellWeight = new Float64Array(cells);
  const touched: number[] = [];
  for (const [i, plane] of planes.entries()) {
    if (plane === undefined) continue;
    touched.length = 0;
    addTo(cellOf[i], 1);
    for (const [k, node] of plane.from.entries()) addTo(cellOf[node], -plane.weights[k]);
    const sure = 1 / (noise[i] * noise[i]);
    for (const a of touched) {
      top[a + 1] += cellWeight[a] * score[i];
      for (const b of touched) bottom[(a + 1) * size + b + 1] += sure * cellWeight[a] * cellWeight[b];
    }
    for (const a of touched) cellWeight[a] = 0;
  }
  for (let a = 1; a < size; a++) {
    top[a] += top[a - 1];
    for (let b = 1; b < size; b++)
      bottom[a * size + b] +=
        bottom[a * size + b - 1] + bottom[(a - 1) * size + b] - bottom[(a - 1) * size + b - 1];
  }
  let best: RowGroup | undefined;
  let most = 0;
  for (let a = 0; a < cells; a++) {
    for (let b = a + 1; b < size && nodes.log[cuts[b] - 1] === nodes.log[cuts[a]]; b++) {
      const square = bottom[b * size + b] - 2 * bottom[a * size + b] + bottom[a * size + a];
      if (!(square > 1e-9)) continue;
      const found = (top[b] - top[a]) ** 2 / square;
      if (found > most) {
        most = found;
        const last = cuts[b] - 1;
        best = { kind: 'rows', log: nodes.log[last], from: nodes.row[cuts[a]], to: nodes.end[last] };
      }
    }
  }
  return best;

  function addTo(cell: number, value: number): void {
    if (cellWeight[cell] === 0) touched.push(cell);
    cellWeight[cell] += value;
  }
}

/** Nodes at which cells begin, followed by the node count; no cell spans two logs. */
function cutsOf({ nodes }: Ties): number[] {
  const cuts: number[] = [];
  const each = Math.max(4, nodes.count / CELLS);
  for (let from = 0; from < nodes.count; ) {
    let to = from;
    while (to < nodes.count && nodes.log[to] === nodes.log[from]) to++;
    const parts = Math.max(1, Math.round((to - from) / each));
    for (let part = 0; part < parts; part++) cuts.push(from + Math.floor((part * (to - from)) / parts));
    from = to;
  }
  cuts.push(nodes.count);
  return cuts;
}
