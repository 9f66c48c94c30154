import { min } from 'd3-array';
import { defineLogPlugin } from '../shared/contract/index.ts';
import { findBadEchoes, findHeldValues } from '../shared/survey/index.ts';
import { soundingPluginMessages as says } from '../shared/text/index.ts';

/** Drops depths that are not the bottom. Shallow spikes and partial echoes may stay in `shallowest`. */
export const despike = defineLogPlugin({
  name: 'despike',
  summary:
    'Drops spikes, double and partial echoes, and frozen or held depths; the shallowest spike or partial echo stays as the shallowest depth there.',
  stage: 'log',
  options: {
    on: { kind: 'switch', default: true, help: 'Drop spikes, echoes, frozen and held depths.' },
    height: { kind: 'length', min: 0.1, max: 50, default: 1, help: 'Minimum height of a spike.' },
    share: {
      kind: 'number',
      min: 0,
      max: 1,
      default: 0.2,
      help: 'Minimum height of a spike as a share of the depth.',
    },
    steepest: {
      kind: 'angle',
      min: 0,
      max: 85,
      default: 45,
      help: 'Steepest believable bottom; a spike is steeper.',
    },
    frozen: {
      kind: 'length',
      min: 5,
      max: 1000,
      default: 50,
      help: 'Longest distance over which a depth may stay exactly the same.',
    },
  },
  run({ log }, options, context) {
    if (!options.on) return {};
    const bad = findBadEchoes(log, options);
    const values = findHeldValues(log);
    const held = values.flatMap(({ rows }) => rows).sort((a, b) => a - b);
    const isHeld = new Set(held);
    const [spikes, doubles, shallow, frozen] = [bad.spikes, bad.doubles, bad.shallow, bad.frozen].map(
      (rows) => (held.length === 0 ? rows : rows.filter((row) => !isHeld.has(row))),
    );
    const at = ([row]: readonly number[]) => ({ line: log.line[row] });
    for (const { depth, rows, runs } of values)
      context.report(says['held-depth'](at(rows), depth, rows.length, runs));
    if (spikes.length > 0) context.report(says.spike(at(spikes), spikes.length));
    if (doubles.length > 0) context.report(says['double-echo'](at(doubles), doubles.length));
    const least = min(shallow, (row) => log.depth[row]);
    if (least !== undefined) context.report(says['shallow-echo'](at(shallow), shallow.length, least));
    if (frozen.length > 0)
      context.report(says['frozen-depth'](at(frozen), frozen.length, bad.farthestFrozen));
    const kept = keepShallowest(
      log.depth,
      log.shallowest,
      [...spikes, ...shallow],
      [...doubles, ...frozen, ...held],
    );
    if (kept.row >= 0)
      context.report(
        says.shallowest({ line: log.line[kept.row] }, log.depth[kept.row], spikes.length + shallow.length),
      );
    return {
      columns: kept.row < 0 ? undefined : { shallowest: kept.shallowest },
      dropped: [
        { reason: 'soundings/held-depth', rows: held },
        { reason: 'soundings/spike', rows: spikes },
        { reason: 'soundings/double-echo', rows: doubles },
        { reason: 'soundings/shallow-echo', rows: shallow },
        { reason: 'soundings/frozen-depth', rows: frozen },
      ],
    };
  },
});

/**
 * For each row in `dropped`, lowers `shallowest` of the nearest row that stays, if the dropped row is
 * shallower. Rows in `others` are dropped too, but change nothing.
 *
 * @returns The new `shallowest`; and `row`, the shallowest of the rows in `dropped` that are shallower than
 * the nearest row that stays; -1 without any.
 */
function keepShallowest(
  depth: Float32Array,
  before: Float32Array,
  dropped: readonly number[],
  others: readonly number[],
): { shallowest: Float32Array; row: number } {
  const shallowest = before.slice();
  const out = new Set([...dropped, ...others]);
  let row = -1;
  for (const bad of dropped) {
    const heir = nearestKept(bad, depth.length, out);
    if (heir < 0 || depth[bad] >= depth[heir]) continue;
    if (row < 0 || depth[bad] < depth[row]) row = bad;
    if (before[bad] < shallowest[heir]) shallowest[heir] = before[bad];
  }
  return { shallowest, row };
}

function nearestKept(row: number, count: number, out: ReadonlySet<number>): number {
  for (let away = 1; away < count; away++) {
    if (row - away >= 0 && !out.has(row - away)) return row - away;
    if (row + away < count && !out.has(row + away)) return row + away;
  }
  return -1;
}
