import type { OptionValues, Waypoint } from '../../shared/contract/index.ts';
import { readLoggedStops } from '../../shared/day/index.ts';
import { fishCountOf, type Known } from '../../shared/prospect/index.ts';
import { prospectMessages, readFishNote, withoutOwnSummary } from '../../shared/text/index.ts';
import { dayLogs } from '../engine/index.ts';
import { readInput } from '../files/index.ts';
import type { prospectOptions } from './command-options.ts';
import type { ResolvedCommand } from './resolve-command.ts';

/** Returns the number of fish that a mark must exceed to count as one with fish. @param fish As `--fish`. */
export const leastOf = (fish: string): number => Number(/\d+/.exec(fish)?.[0] ?? 0);

/**
 * Finds which marks have fish according to notes and logs.
 *
 * Of the counts in a mark's name, note and logged stops, the highest is used; 0 makes the mark a blank. With
 * `auto`, a mark without a count is ignored if any mark has a count above 0; otherwise such a mark has fish,
 * since anglers mark fish. A proposed place without a count is ignored.
 *
 * @param proposed The waypoints that an earlier run proposed. @param fish `auto`, `all` or `count>N`.
 */
export async function knownMarks(
  waypoints: readonly Waypoint[],
  proposed: ReadonlySet<Waypoint>,
  command: ResolvedCommand,
  { fish, log: logs = [] }: Pick<OptionValues<typeof prospectOptions>, 'fish' | 'log'>,
): Promise<Known[]> {
  const { report } = command.io;
  const names = waypoints.map(({ name }) => name);
  const log = await dayLogs(command, logs, readInput, names, report);
  const logged = new Map<number, number>();
  if (log !== undefined) {
    const spots = waypoints.map(({ name, lat, lon }) => ({ name, marks: [name], lat, lon }));
    // Sizes are cleared, because they do not matter here and their words may be known only to the plan.
    const rows = log.rows.map((row) => ({ ...row, values: { ...row.values, size: '' } }));
    const { stops, diagnostics } = readLoggedStops({ ...log, rows }, spots, command.date, new Map());
    diagnostics.forEach(report);
    for (const stop of stops) logged.set(stop.spot, Math.max(stop.fish, logged.get(stop.spot) ?? 0));
  }
  const counted = waypoints.map(({ comment, description, name }, i) => {
    const counts = [comment, description, name].map((text) => fishCountOf(withoutOwnSummary(text)));
    const known = [...counts, logged.get(i)].filter((count) => count !== undefined);
    return known.length === 0 ? undefined : Math.max(...known);
  });
  const isAll =
    fish === 'all' || (fish === 'auto' && counted.every((count) => count === undefined || count === 0));
  const least = leastOf(fish);
  const marks = waypoints.map((waypoint, i): Known => {
    const count = counted[i];
    const { lat, lon } = waypoint;
    const name = waypoint.name || `#${waypoint.index + 1}`;
    const known = { name, lat, lon, fishDepth: readFishNote(waypoint, command.units).band };
    if (count === undefined) return isAll && !proposed.has(waypoint) ? { ...known, hasFish: true } : known;
    return count > least || count === 0 ? { ...known, hasFish: count > least } : known;
  });
  const withFish = marks.filter(({ hasFish }) => hasFish).length;
  if (fish === 'auto' && isAll && withFish > 0) report(prospectMessages['every-mark'](undefined, withFish));
  return marks;
}
