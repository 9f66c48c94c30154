import { plural } from '../../../shared/text/index.ts';
import type { GpxWaypoint } from './gpx-document.ts';
import { type LedgerEntry, matchLedger, startsAlike } from './match-ledger.ts';
import { coordinateDecimals } from './partners.ts';
import { additionElements } from './previous-additions.ts';

/** One habit of a chartplotter that an export reveals. */
export interface Habit {
  readonly found: string;
  /** `seen`: shown by the export; `likely`: guessed from the names in the export. */
  readonly by: 'seen' | 'likely';
  /** Options that adapt the output to the habit, by flag; empty when none is needed. */
  readonly options: Readonly<Record<string, string | readonly string[]>>;
}

/** Minimum number of names for guessing a habit; judgment. */
const LEAST = 3;
/** Minimum values of the options `max-name` and `max-text`, characters. */
const SHORTEST = { name: 4, text: 20 } as const;

const seen = (found: string, options: Habit['options'] = {}): Habit => ({ found, by: 'seen', options });
const likely = (found: string, options: Habit['options']): Habit => ({ found, by: 'likely', options });

type Pair = readonly [waypoint: GpxWaypoint, entry: LedgerEntry];

/**
 * Finds how a chartplotter changes waypoints, from an export of the chartplotter.
 *
 * @param given Boat positions that earlier runs wrote, to be compared with the export.
 * @returns The number of boat positions compared, and the habits found.
 */
export function unitHabits(
  waypoints: readonly GpxWaypoint[],
  given: readonly LedgerEntry[],
): { readonly compared: number; readonly habits: readonly Habit[] } {
  const usable = waypoints.filter(({ canEnrich }) => canEnrich);
  const decimals = coordinateDecimals(waypoints);
  const pairs = [...matchLedger(usable, given, decimals)];
  const habits = [
    nameLength(usable, pairs),
    capitals(usable, pairs),
    plainCharacters(pairs),
    numbered(pairs),
    ...texts(pairs),
    extensions(usable, pairs),
    symbols(usable, pairs),
    seen(`positions with ${decimals} decimals`),
  ];
  return { compared: pairs.length, habits: habits.filter((habit) => habit !== undefined) };
}

const lengthOf = (text: string): number => Array.from(text).length;

function nameLength(waypoints: readonly GpxWaypoint[], pairs: readonly Pair[]): Habit | undefined {
  const longest = Math.max(0, ...waypoints.map(({ name }) => lengthOf(name)));
  const options = { 'max-name': String(Math.max(SHORTEST.name, longest)) };
  const cut = pairs.filter(([{ name }, entry]) => lengthOf(name) < lengthOf(entry.name));
  // A name replaced with a number is shorter too, so a cut shows only if a written name is longer than all
  // names in the export.
  if (cut.some(([, entry]) => lengthOf(entry.name) > longest))
    return seen(`names cut to ${longest} characters`, options);
  if (pairs.length >= LEAST || waypoints.filter(({ name }) => lengthOf(name) === longest).length < LEAST)
    return undefined;
  return longest > 30 ? undefined : likely(`names no longer than ${longest} characters`, options);
}

function capitals(waypoints: readonly GpxWaypoint[], pairs: readonly Pair[]): Habit | undefined {
  const isRaised = ({ name }: { readonly name: string }): boolean =>
    name === name.toUpperCase() && /\p{L}/u.test(name);
  const lower = pairs.filter(([, { name }]) => name !== name.toUpperCase());
  const options = { capitals: 'on' };
  if (lower.length > 0)
    return lower.every(([waypoint]) => isRaised(waypoint)) ? seen('names in capitals', options) : undefined;
  const lettered = waypoints.filter(({ name }) => /\p{L}/u.test(name));
  return pairs.length === 0 && lettered.length >= LEAST && lettered.every(isRaised)
    ? likely('names in capitals', options)
    : undefined;
}

function plainCharacters(pairs: readonly Pair[]): Habit | undefined {
  const isPlain = (text: string): boolean => /^[ -~]*$/.test(text);
  const other = pairs.filter(([, { name }]) => !isPlain(name));
  return other.length > 0 && other.every(([{ name }]) => isPlain(name))
    ? seen('names in plain ASCII', { ascii: 'on' })
    : undefined;
}

function numbered(pairs: readonly Pair[]): Habit | undefined {
  const count = pairs.filter(([{ name }, entry]) => /\d$/.test(name) && !/\d$/.test(entry.name)).length;
  return count === 0 ? undefined : seen(`numbers put after ${plural(count, 'name')} to make names unique`);
}

/** Finds whether our comments come back, in which element, and to which length they are cut. */
function texts(pairs: readonly Pair[]): Habit[] {
  const filled = pairs.filter(([, { comment }]) => comment !== '');
  if (filled.length === 0) return [];
  const back = (field: 'comment' | 'description'): Pair[] =>
    filled.filter(([waypoint, { comment }]) => startsAlike(waypoint[field], comment));
  const [comments, descriptions] = [back('comment'), back('description')];
  if (comments.length === 0 && descriptions.length === 0) return [seen('comments dropped')];
  const field = comments.length === 0 ? 'description' : 'comment';
  const habits: Habit[] = [];
  if (field === 'description') habits.push(seen('text shown from desc', { 'text-in': 'desc' }));
  else if (descriptions.length > 0) habits.push(seen('comments also put into desc'));
  const kept = field === 'comment' ? comments : descriptions;
  const lengths = kept.map(([waypoint]) => lengthOf(waypoint[field].trim()));
  const isCut = kept.some(
    ([waypoint, { comment }]) => lengthOf(waypoint[field].trim()) < lengthOf(comment.trim()),
  );
  const length = Math.max(...lengths);
  if (isCut)
    habits.push(
      seen(`text cut to ${length} characters`, { 'max-text': String(Math.max(SHORTEST.text, length)) }),
    );
  return habits;
}

function extensions(waypoints: readonly GpxWaypoint[], pairs: readonly Pair[]): Habit | undefined {
  if (pairs.length === 0 || waypoints.some(({ place }) => additionElements(place).length > 0))
    return undefined;
  return seen('extension elements dropped', { plain: 'on' });
}

function symbols(waypoints: readonly GpxWaypoint[], pairs: readonly Pair[]): Habit | undefined {
  const known = [...new Set(waypoints.map(({ symbol }) => symbol))].filter((symbol) => symbol !== '').sort();
  if (known.length === 0) return undefined;
  const changed = pairs.filter(([{ symbol }, entry]) => entry.symbol !== '' && symbol !== entry.symbol);
  const lost = [...new Set(changed.map(([, { symbol }]) => symbol))].filter((name) => !known.includes(name));
  const list = known.slice(0, 12).join(', ');
  const unknown = lost.length === 0 ? '' : `; unknown to the unit: ${lost.join(', ')}`;
  // A single symbol on all waypoints does not show which symbols the chartplotter has.
  const options: Habit['options'] = known.length > 1 ? { symbols: known } : {};
  return seen(`symbols in the export: ${list}${unknown}`, options);
}
