import type { Diagnostic, Waypoint } from '../../shared/contract/index.ts';
import { readLoggedStops } from '../../shared/day/index.ts';
import { fishCountOf, type Known } from '../../shared/prospect/index.ts';
import { everyMarkCounts, type TimeZone, withoutOwnSummary } from '../../shared/text/index.ts';
import { readLogs } from '../day/index.ts';
import { readInput } from '../files/index.ts';

export interface KnownMarksOptions {
  /** `auto`, `all` or `count>N`. */
  readonly fish: string;
  readonly logs: readonly string[];
  readonly date: string;
  readonly zone: TimeZone | undefined;
  readonly dateOrder: 'mdy' | 'dmy';
}

/**
 * Marks with what notes and logs say of fish on them.
 *
 * The greatest count of a mark's note and its logged stops counts; a mark that only blanks are known of is without fish. With
 * `auto`, marks that nothing counts fish on say nothing, unless that is all of them: then each stands for fish, as anglers mark
 * fish. A place that was proposed is a mark only once something was counted there.
 *
 * @param proposed Waypoints among `waypoints` that we proposed ourselves.
 */
export async function knownMarks(
  waypoints: readonly Waypoint[],
  proposed: ReadonlySet<Waypoint>,
  { fish, logs, date, zone, dateOrder }: KnownMarksOptions,
  report: (diagnostic: Diagnostic) => void,
): Promise<Known[]> {
  const names = waypoints.map(({ name }) => name);
  const log = await readLogs(logs, readInput, names, zone, report, dateOrder);
  const logged = new Map<number, number>();
  if (log !== undefined) {
    const spots = waypoints.map(({ name, lat, lon }) => ({ name, marks: [name], lat, lon }));
    // Sizes do not matter here, nor does a word for one that only the plan knows.
    const rows = log.rows.map((row) => ({ ...row, values: { ...row.values, size: '' } }));
    const { stops, diagnostics } = readLoggedStops({ ...log, rows }, spots, date, new Map());
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
  const least = fish.startsWith('count') ? Number(/\d+/.exec(fish)![0]) : 0;
  const marks = waypoints.flatMap((waypoint, i): Known[] => {
    const count = counted[i];
    if (proposed.has(waypoint) && count === undefined) return [];
    const { name, lat, lon } = waypoint;
    const hasFish =
      count === undefined
        ? isAll
          ? true
          : undefined
        : count > least
          ? true
          : count === 0
            ? false
            : undefined;
    return [{ name, lat, lon, ...(hasFish === undefined ? {} : { hasFish }) }];
  });
  if (fish === 'auto' && isAll) report(everyMarkCounts(marks.filter(({ hasFish }) => hasFish).length));
  return marks;
}
