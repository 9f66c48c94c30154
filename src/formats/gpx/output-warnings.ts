import { greatest, sum } from 'd3-array';
import type { Diagnostic } from '../../../shared/contract/index.ts';
import { gpxOutputMessages as says } from '../../../shared/text/index.ts';
import type { GpxDocument } from './gpx-document.ts';
import { foldCase } from './names.ts';
import type { GpxOutputOptions } from './output-options.ts';
import type { AdditionPlan } from './plan-additions.ts';

/** Limits of many chartplotters, in characters for names and texts; common practice, no source. */
const LIMIT = { name: 10, text: 255, waypoints: 500, routes: 50, tracks: 20, bytes: 4 * 2 ** 20 } as const;

/** Share of LIMIT.bytes to be filled, because waypoints differ in size; judgment. */
const MARGIN = 0.8;

/** Returns warnings about what a chartplotter may cut, rename or refuse, unless an option prevents this. */
export function outputWarnings(
  { file, waypoints, lines, counts: { routes, tracks } }: GpxDocument,
  plan: AdditionPlan,
  bytes: number,
  options: GpxOutputOptions,
): Diagnostic[] {
  const found: Diagnostic[] = [];
  const own = waypoints.filter(({ fileIndex }) => !plan.removed.has(fileIndex));
  const names = own.map(({ name }) => name).filter((name) => name !== '');
  if (options.maxName === undefined) {
    const long = names.filter((name) => name.length > LIMIT.name);
    if (long.length > 0)
      found.push(says['long-name']({ file }, long.length, greatest(long, (name) => name.length)!));
    const repeated = repeatedOf(names);
    if (repeated.length > 0) found.push(says['repeated-name']({ file }, repeated.length, repeated[0]));
  }
  const other = names.filter((name) => !/^[ -~\s]*$/.test(name));
  if (!options.ascii && other.length > 0)
    found.push(says['name-characters']({ file }, other.length, other[0]));
  if (names.length < own.length) found.push(says['no-name']({ file }, own.length - names.length));
  const longTexts = [...plan.additions.values()].filter(
    ({ fileIndex, comment }) => waypoints[fileIndex].comment.length + comment.length > LIMIT.text,
  );
  if (options.maxText === undefined && longTexts.length > 0)
    found.push(says['long-text']({ file }, longTexts.length));
  const total = own.length + sum(plan.additions.values(), ({ partners }) => partners.length);
  if (options.maxWaypoints === undefined && total > LIMIT.waypoints)
    found.push(says['many-waypoints']({ file }, total));
  if (routes > LIMIT.routes) found.push(says['many-tracks']({ file }, 'routes', routes, LIMIT.routes));
  if (tracks > LIMIT.tracks) found.push(says['many-tracks']({ file }, 'tracks', tracks, LIMIT.tracks));
  // Routes and tracks are not split, so they must leave room for waypoints in the first part.
  const ofLines = sum(lines, ({ start, end }) => end - start);
  const most = Math.floor((MARGIN * total * (LIMIT.bytes - ofLines)) / (bytes - ofLines));
  if (bytes > LIMIT.bytes && (ofLines > LIMIT.bytes || options.maxWaypoints === undefined))
    found.push(
      says['long-file'](
        { file },
        bytes,
        ofLines > Math.min(LIMIT.bytes, bytes / 2) ? undefined : Math.min(most, LIMIT.waypoints),
      ),
    );
  return found;
}

/** Returns the names that repeat an earlier name, ignoring case and surrounding blanks. */
function repeatedOf(names: readonly string[]): string[] {
  const seen = new Set<string>();
  return names.filter((name) => seen.size === seen.add(foldCase(name)).size);
}
