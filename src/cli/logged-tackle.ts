import type { Diagnostic, EnrichedWaypoint } from '../../shared/contract/index.ts';
import { overDaysOf, REST_MODEL } from '../../shared/day/index.ts';
import { dayPlan as says } from '../../shared/text/index.ts';
import { reviewOptions, tackleLines } from '../day/index.ts';
import { findDayLogs } from './input-files.ts';
import { loggedLake } from './logged-lake.ts';
import type { ResolvedCommand } from './resolve-command.ts';

/** Reports what a lake's logs say about lures and distances, in one note with the counts. */
export async function reportLoggedTackle(
  resolved: ResolvedCommand,
  paths: readonly string[],
  waypoints: readonly EnrichedWaypoint[],
  report: (diagnostic: Diagnostic) => void,
): Promise<Diagnostic[]> {
  const options = resolved.values('review', reviewOptions);
  const { spots, stops } = await loggedLake(resolved, waypoints, findDayLogs(paths), options, report);
  if (stops.length === 0) return [];
  const found = overDaysOf(spots, stops, { ...options, date: resolved.date }, REST_MODEL);
  return [says.logFavors(`From your logs: ${tackleLines(found, resolved.units).join('; ')}.`)];
}
