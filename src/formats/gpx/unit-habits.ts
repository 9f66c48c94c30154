import { type GivenOut, matchGivenOut, startsAlike } from './given-out.ts';
import type { GpxWaypoint } from './gpx-document.ts';
import { coordinateDecimals } from './partners.ts';
import { ownElements } from './previous-additions.ts';

/** One thing that an export tells of its unit. */
export interface Habit {
  /** In words. */
  readonly found: string;
  /** `seen`: on boat positions that we gave out; `likely`: from the export alone. */
  readonly by: 'seen' | 'likely';
  /** Options that write for it, by flag; empty where none is needed. */
  readonly options: Readonly<Record<string, string>>;
}

/** Fewest names or texts that a habit may be told from. */
const LEAST = 3;
/** Bounds of the options: shorter ones would be refused when they are used. */
const SHORTEST = { name: 4, text: 20 } as const;

type Pair = readonly [waypoint: GpxWaypoint, entry: GivenOut];

/**
 * What an export tells of how its unit keeps waypoints.
 *
 * @param given What was given out before: compared with what came back, it tells for sure what the unit changes.
 * @returns How many waypoints were compared, and what was found; a habit that too few waypoints show is left out.
 */
export function unitHabits(
  waypoints: readonly GpxWaypoint[],
  given: readonly GivenOut[],
): { readonly compared: number; readonly habits: readonly Habit[] } {
  const usable = waypoints.filter(({ canEnrich }) => canEnrich);
  const decimals = coordinateDecimals(waypoints);
  const pairs = [...matchGivenOut(usable, given, decimals)];
  const habits = [
    nameLength(usable, pairs),
    capitals(usable, pairs),
    plainCharacters(pairs),
    numbered(pairs),
    ...texts(pairs),
    extensions(usable, pairs),
    symbols(usable, pairs),
    { found: `positions with ${decimals} decimals`, by: 'seen', options: {} } as const,
  ];
  return { compared: pairs.length, habits: habits.filter((habit) => habit !== undefined) };
}

const lengthOf = (text: string): number => Array.from(text).length;

function nameLength(waypoints: readonly GpxWaypoint[], pairs: readonly Pair[]): Habit | undefined {
  const longest = Math.max(0, ...waypoints.map(({ name }) => lengthOf(name)));
  const options = { 'max-name': String(Math.max(SHORTEST.name, longest)) };
  const cut = pairs.filter(([{ name }, entry]) => lengthOf(name) < lengthOf(entry.name));
  // A name that was numbered, not cut, is shorter too: the longest that came back must be shorter than one given out.
  if (cut.some(([, entry]) => lengthOf(entry.name) > longest))
    return { found: `names cut to ${longest} characters`, by: 'seen', options };
  if (pairs.length >= LEAST || waypoints.filter(({ name }) => lengthOf(name) === longest).length < LEAST)
    return undefined;
  return longest > 30 ? undefined : { found: `names end at ${longest} characters`, by: 'likely', options };
}

function capitals(waypoints: readonly GpxWaypoint[], pairs: readonly Pair[]): Habit | undefined {
  const isRaised = ({ name }: { readonly name: string }): boolean =>
    name === name.toUpperCase() && /\p{L}/u.test(name);
  const lower = pairs.filter(([, { name }]) => name !== name.toUpperCase());
  const options = { capitals: 'on' };
  if (lower.length > 0)
    return lower.every(([waypoint]) => isRaised(waypoint))
      ? { found: 'names in capitals', by: 'seen', options }
      : undefined;
  const lettered = waypoints.filter(({ name }) => /\p{L}/u.test(name));
  return pairs.length === 0 && lettered.length >= LEAST && lettered.every(isRaised)
    ? { found: 'names in capitals', by: 'likely', options }
    : undefined;
}

function plainCharacters(pairs: readonly Pair[]): Habit | undefined {
  const isPlain = (text: string): boolean => /^[ -~]*$/.test(text);
  const other = pairs.filter(([, { name }]) => !isPlain(name));
  return other.length > 0 && other.every(([{ name }]) => isPlain(name))
    ? { found: 'names in plain ASCII', by: 'seen', options: { ascii: 'on' } }
    : undefined;
}

function numbered(pairs: readonly Pair[]): Habit | undefined {
  const count = pairs.filter(([{ name }, entry]) => /\d$/.test(name) && !/\d$/.test(entry.name)).length;
  return count === 0
    ? undefined
    : { found: `numbers put after ${count} names to make them unique`, by: 'seen', options: {} };
}

/** Which text comes back, and how much of it. */
function texts(pairs: readonly Pair[]): Habit[] {
  const told = pairs.filter(([, { comment }]) => comment !== '');
  if (told.length === 0) return [];
  const back = (field: 'comment' | 'description'): Pair[] =>
    told.filter(([waypoint, { comment }]) => startsAlike(waypoint[field], comment));
  const [comments, descriptions] = [back('comment'), back('description')];
  if (comments.length === 0 && descriptions.length === 0)
    return [{ found: 'comments dropped', by: 'seen', options: {} }];
  const field = comments.length === 0 ? 'description' : 'comment';
  const habits: Habit[] = [];
  if (field === 'description')
    habits.push({ found: 'text shown from desc', by: 'seen', options: { 'text-in': 'desc' } });
  else if (descriptions.length > 0)
    habits.push({ found: 'comments also put into desc', by: 'seen', options: {} });
  const kept = field === 'comment' ? comments : descriptions;
  const lengths = kept.map(([waypoint]) => lengthOf(waypoint[field].trim()));
  const isCut = kept.some(
    ([waypoint, { comment }]) => lengthOf(waypoint[field].trim()) < lengthOf(comment.trim()),
  );
  const length = Math.max(...lengths);
  if (isCut)
    habits.push({
      found: `text cut to ${length} characters`,
      by: 'seen',
      options: { 'max-text': String(Math.max(SHORTEST.text, length)) },
    });
  return habits;
}

function extensions(waypoints: readonly GpxWaypoint[], pairs: readonly Pair[]): Habit | undefined {
  if (pairs.length === 0 || waypoints.some(({ place }) => ownElements(place).length > 0)) return undefined;
  return { found: 'extension elements dropped', by: 'seen', options: { plain: 'on' } };
}

function symbols(waypoints: readonly GpxWaypoint[], pairs: readonly Pair[]): Habit | undefined {
  const known = [...new Set(waypoints.map(({ symbol }) => symbol))].filter((symbol) => symbol !== '').sort();
  if (known.length === 0) return undefined;
  const changed = pairs.filter(([{ symbol }, entry]) => entry.symbol !== '' && symbol !== entry.symbol);
  const lost = [...new Set(changed.map(([, { symbol }]) => symbol))].filter((name) => !known.includes(name));
  const list = known.slice(0, 12).join(', ');
  const unknown = lost.length === 0 ? '' : `; not known: ${lost.join(', ')}`;
  return { found: `symbols in it: ${list}${unknown}`, by: 'seen', options: {} };
}
