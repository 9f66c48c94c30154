import { range } from 'es-toolkit/math';
import { rowRuns } from '../../math/index.ts';
import { clippedScores } from './fit.ts';
import type { RowGroup } from './group.ts';
import type { Ties } from './ties.ts';

/** Approximate number of cells in a survey; a stretch is a run of whole cells. */
const CELLS = 120;

/**
 * Finds the stretch of a log where a constant offset from the rest explains most of the disagreement.
 *
 * The column of a stretch is the sum of the columns of its cells. So the least-squares offset of a stretch is
 * a sum over its cells (`top`) divided by a sum over pairs of its cells (`bottom`). With prefix sums of both,
 * each candidate stretch costs only a few lookups.
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
  for (const [i, plane] of planes.entries()) {
    if (plane === undefined) continue;
    const weights = new Map([[cellOf[i], 1]]);
    for (const [k, node] of plane.from.entries())
      weights.set(cellOf[node], (weights.get(cellOf[node]) ?? 0) - plane.weights[k]);
    const sure = 1 / (noise[i] * noise[i]);
    for (const [a, ofA] of weights) {
      top[a + 1] += ofA * score[i];
      for (const [b, ofB] of weights) bottom[(a + 1) * size + b + 1] += sure * ofA * ofB;
    }
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
}

/** Returns the first node of each cell, followed by the node count; no cell spans two logs. */
function cutsOf({ nodes: { count, log } }: Ties): number[] {
  const each = Math.max(4, count / CELLS);
  const cuts = [...rowRuns(count, (node, first) => log[node] === log[first])].flatMap(([from, to]) => {
    const parts = Math.max(1, Math.round((to - from) / each));
    return range(parts).map((part) => from + Math.floor((part * (to - from)) / parts));
  });
  return [...cuts, count];
}
