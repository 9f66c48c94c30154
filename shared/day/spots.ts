import type { EnrichedWaypoint, FieldValues, StructureWord } from '../contract/index.ts';
import { localFrame } from '../geo/index.ts';
import type { MarkNote } from './marks.ts';
import type { Side } from './problem.ts';

/** A place to fish: one mark, or several on one structure within a cast and a half. */
export interface FishingSpot {
  readonly name: string;
  /** Names of all its marks, the leading one first. */
  readonly marks: readonly string[];
  /** The leading mark, deg. */
  readonly lat: number;
  readonly lon: number;
  readonly structure?: StructureWord;
  /** Depth at the mark, m. */
  readonly depth?: number;
  readonly lure?: string;
  /** Sides that can be fished, the downslope one first; at least one. */
  readonly sides: readonly SpotSide[];
  readonly note: MarkNote;
}

export interface SpotSide {
  readonly side: Side;
  /** Boat position, deg; the mark itself when no boat position is known. */
  readonly lat: number;
  readonly lon: number;
  readonly isAtMark: boolean;
  /** m. */
  readonly depth?: number;
  /** First cast: magnetic bearing, or true where the magnetic one is not known, deg; length, m. */
  readonly castMagnetic?: number;
  readonly castTrue?: number;
  readonly cast?: number;
  readonly landingDepth?: number;
  /** What the cast is ranked by, m: contact among the fish; on bottom at all where nothing is known of them. */
  readonly contact?: number;
  /** Value of this side over the better one, 0 to 1. */
  readonly share: number;
}

/** Spots of one structure lie within this many casts. */
const CASTS_APART = 1.5;
/** Share of the shallow side where contacts do not tell: the deep side is the first choice (common practice). */
const SECOND_CHOICE = 0.7;

/**
 * Spots from enriched marks: the best mark leads and takes in marks on the same structure within 1.5 casts.
 *
 * @param cast Longest cast, m. @returns In the input order of the leading marks.
 */
export function spotsFromMarks(
  marks: readonly EnrichedWaypoint[],
  notes: ReadonlyMap<string, MarkNote>,
  cast: number,
): FishingSpot[] {
  const rank = (mark: EnrichedWaypoint): number =>
    (notes.get(mark.waypoint.name)?.priority ?? 1) * 1000 + Math.min(999, bestContact(mark.fields) ?? 0);
  const order = marks.map((_, index) => index).sort((a, b) => rank(marks[b]) - rank(marks[a]) || a - b);
  const leaders: number[] = [];
  const members = new Map<number, number[]>();
  for (const index of order) {
    const leader = leaders.find((candidate) => isOneSpot(marks[candidate], marks[index], cast * CASTS_APART));
    if (leader === undefined) {
      leaders.push(index);
      members.set(index, [index]);
    } else members.get(leader)!.push(index);
  }
  return leaders
    .sort((a, b) => a - b)
    .map((leader) =>
      toSpot(
        marks[leader],
        members.get(leader)!.map((at) => marks[at]),
        notes,
      ),
    );
}

function isOneSpot(a: EnrichedWaypoint, b: EnrichedWaypoint, reach: number): boolean {
  const first = a.waypoint;
  const second = b.waypoint;
  if (Math.abs(first.lat - second.lat) * 110_000 > reach) return false;
  const structures = [a.fields.structure, b.fields.structure];
  if (!structures.includes(undefined) && structures[0] !== structures[1]) return false;
  const [east, north] = localFrame(first.lat, first.lon).toLocal(second.lat, second.lon);
  return Math.hypot(east, north) <= reach;
}

function toSpot(
  lead: EnrichedWaypoint,
  members: readonly EnrichedWaypoint[],
  notes: ReadonlyMap<string, MarkNote>,
): FishingSpot {
  const { waypoint, fields } = lead;
  const others = members.filter((mark) => mark !== lead).map((mark) => mark.waypoint.name);
  return {
    name: waypoint.name,
    marks: [waypoint.name, ...others],
    lat: waypoint.lat,
    lon: waypoint.lon,
    structure: fields.structure,
    depth: fields.depth,
    lure: fields.lure,
    sides: sidesOf(lead),
    note: notes.get(waypoint.name) ?? {},
  };
}

function sidesOf({ waypoint, fields }: EnrichedWaypoint): SpotSide[] {
  const found = (['downslope', 'upslope'] as const).flatMap((word, side) => {
    const value = <K extends string>(key: K) =>
      fields[`${word}_${key}` as keyof FieldValues] as number | undefined;
    const lat = value('lat');
    const lon = value('lon');
    if (lat === undefined || lon === undefined) return [];
    return [
      {
        side: side as Side,
        lat,
        lon,
        isAtMark: false,
        depth: value('depth'),
        castMagnetic: value('cast_mag'),
        castTrue: value('cast_true'),
        cast: value('cast'),
        landingDepth: value('landing_depth'),
        contact: value('worth') ?? value('fish_contact') ?? value('contact'),
        share: 1,
      },
    ];
  });
  if (found.length === 0) {
    const { lat, lon } = waypoint;
    return [{ side: 0, lat, lon, isAtMark: true, depth: fields.depth, share: 1 }];
  }
  const best = Math.max(...found.map(({ contact }) => contact ?? 0));
  return found.map((side) => ({ ...side, share: shareOf(side, best, found.length) }));
}

function shareOf(side: { side: Side; contact?: number }, best: number, sides: number): number {
  if (sides === 1) return 1;
  if (best > 0) return (side.contact ?? 0) / best;
  return side.side === 0 ? 1 : SECOND_CHOICE;
}

function bestContact(fields: EnrichedWaypoint['fields']): number | undefined {
  const contacts = [
    fields.downslope_worth ?? fields.downslope_fish_contact,
    fields.upslope_worth ?? fields.upslope_fish_contact,
  ].filter((contact) => contact !== undefined);
  return contacts.length === 0 ? undefined : Math.max(...contacts);
}

/** Weight of a spot by its priority 1, 2, 3. */
export const priorityWeight = ({ note }: FishingSpot): number => PRIORITY_WEIGHT[(note.priority ?? 1) - 1];

const PRIORITY_WEIGHT = [1, 1.4, 2] as const;
