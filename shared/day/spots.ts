import type { EnrichedWaypoint, FieldValues, StructureWord } from '../contract/index.ts';
import { localFrame, MIN_METERS_PER_DEGREE } from '../geo/index.ts';
import { rankCasts } from '../retrieve/index.ts';
import type { MarkNote } from './marks.ts';
import type { Side } from './problem.ts';
import { weightBelief } from './sizes.ts';

/** A place to fish: a leading mark, and the marks near it that are not on another structure. */
export interface FishingSpot {
  readonly name: string;
  /** Names of all marks of the spot, the leading mark first. */
  readonly marks: readonly string[];
  /** Position of the leading mark, deg. */
  readonly lat: number;
  readonly lon: number;
  readonly structure?: StructureWord;
  /** Depth at the leading mark, m. */
  readonly depth?: number;
  /** Depths of the fish, m. */
  readonly fish?: { readonly top: number; readonly bottom: number };
  readonly lure?: string;
  /** Sides with a cast worth making, in the order to try them; empty only for a `bareSpot`. */
  readonly sides: readonly SpotSide[];
  readonly note: MarkNote;
  /** Mean weight of the fish, assumed before any fish is logged, kg. */
  readonly weight: number;
  /** Factor on the expected fish for the cast and the status of the leading mark, 0 to 1. */
  readonly quality: number;
}

export interface SpotSide {
  readonly side: Side;
  /** Boat position, deg. */
  readonly lat: number;
  readonly lon: number;
  /** Depth at the boat, m. */
  readonly depth?: number;
  /** Magnetic bearing of the cast, deg; absent when unknown. */
  readonly castMagnetic?: number;
  /** True bearing of the cast, deg. */
  readonly castTrue?: number;
  /** Length of the cast, m. */
  readonly cast?: number;
  /** Depth where the cast lands, m. */
  readonly landingDepth?: number;
  readonly landing?: { readonly lat: number; readonly lon: number };
  /** Length that the cast is ranked by, m: the side's field `worth`, else `fish_contact`, else `contact`. */
  readonly worth: number;
  /** `worth` divided by that of the first side to try, at most 1. */
  readonly share: number;
}

/** A mark or spot without a stop in the plan, and why. */
export interface LeftOut {
  readonly name: string;
  readonly why: string;
}

/** Maximum distance of a mark from the leading mark of its spot, as a multiple of the maximum cast. */
const CASTS_APART = 1.5;
/** Value of `worth` at which quality is 63 % of the way from `MIN_QUALITY` to 1, m; judgment. */
const GOOD_CONTACT = 6;
/** Factor on the expected fish for a `worth` near 0; judgment. */
const MIN_QUALITY = 0.5;
/** Factor on the expected fish by the waypoint's status; judgment. Other statuses count as `ok`. */
const BY_STATUS: Readonly<Record<string, number>> = { ok: 1, edge: 0.9, sparse: 0.9, 'one-pass': 0.85 };

/**
 * Groups enriched marks into spots. A mark joins the spot of a better mark nearby, unless structures differ.
 *
 * @param cast Maximum casting distance, m. @param usual Mean weight of a fish at an ordinary spot, kg.
 * @returns Spots in the order of their leading marks, and the marks that are not fishing spots.
 */
export function spotsFromMarks(
  marks: readonly EnrichedWaypoint[],
  notes: ReadonlyMap<string, MarkNote>,
  cast: number,
  usual: number,
): { spots: FishingSpot[]; leftOut: LeftOut[] } {
  const leftOut: LeftOut[] = [];
  const fished = marks.flatMap((mark) => {
    const sides = sidesOf(mark);
    const why = whyNot(mark, sides, notes.get(mark.waypoint.name));
    if (why === undefined) return [{ mark, sides }];
    leftOut.push({ name: mark.waypoint.name, why });
    return [];
  });
  const rank = ({ mark, sides }: Fished): number =>
    (notes.get(mark.waypoint.name)?.priority ?? 1) * 1000 + Math.min(999, sides[0].worth);
  const order = fished.map((_, index) => index).sort((a, b) => rank(fished[b]) - rank(fished[a]) || a - b);
  const groups = new Map<number, EnrichedWaypoint[]>();
  for (const index of order) {
    const { mark } = fished[index];
    const isLeader = (other: number): boolean => isOneSpot(fished[other].mark, mark, cast * CASTS_APART);
    const leader = [...groups.keys()].find(isLeader) ?? index;
    groups.set(leader, [...(groups.get(leader) ?? []), mark]);
  }
  const spots = [...groups]
    .sort(([a], [b]) => a - b)
    .map(([leader, members]) => toSpot(fished[leader], members, notes, usual));
  return { spots, leftOut };
}

/** Makes a spot without sides, so that a review counts stops logged at a mark that is not a fishing spot. */
export const bareSpot = (mark: EnrichedWaypoint): FishingSpot => ({
  ...placeOf(mark, []),
  sides: [],
  note: {},
  weight: 1,
  quality: 1,
});

const placeOf = (
  { waypoint: { name, lat, lon }, fields: { structure, depth } }: EnrichedWaypoint,
  others: readonly string[],
) => ({
  name,
  marks: [name, ...others],
  lat,
  lon,
  structure,
  depth,
});

interface Fished {
  readonly mark: EnrichedWaypoint;
  readonly sides: readonly SpotSide[];
}

const NO_SPOT: readonly (readonly [RegExp, string])[] = [
  [/\b(?:ramp|launch|landing|dock|marina|parking|camp(?:site)?|motel|gas|fuel)\b/i, 'a place on shore'],
  [/\b(?:hazard|danger|obstruction|shoal|no wake|keep (?:off|out))\b/i, 'a warning'],
];

function whyNot(
  { waypoint, fields }: EnrichedWaypoint,
  sides: readonly SpotSide[],
  note: MarkNote | undefined,
): string | undefined {
  if (note?.wish === 'skip') return 'skipped, as you asked';
  const isWanted = note?.wish !== undefined;
  const kind = NO_SPOT.find(([pattern]) => pattern.test(`${waypoint.name} ${waypoint.symbol}`));
  if (kind !== undefined && !isWanted) return `its name or symbol says that it is ${kind[1]}`;
  if (sides.length > 0) return undefined;
  if (fields.status === undefined) return 'it was not enriched';
  if (fields.status === 'no-data') return 'no cast: no sonar there';
  if (fields.status === 'one-pass')
    return 'no cast: all your sonar here is along one line; one more pass across it would do';
  if (fields.fish_top === undefined) return 'no cast: the depth of the fish is not known';
  const hasBoat = fields.downslope_lat !== undefined || fields.upslope_lat !== undefined;
  return hasBoat
    ? 'no cast: none of your lures stays on bottom among the fish there'
    : 'no cast: no boat position within a cast of the fish';
}

function isOneSpot(a: EnrichedWaypoint, b: EnrichedWaypoint, reach: number): boolean {
  const [first, second] = [a.waypoint, b.waypoint];
  if (Math.abs(first.lat - second.lat) * MIN_METERS_PER_DEGREE > reach) return false;
  const structures = [a.fields.structure, b.fields.structure];
  if (!structures.includes(undefined) && structures[0] !== structures[1]) return false;
  return Math.hypot(...localFrame(first.lat, first.lon).toLocal(second.lat, second.lon)) <= reach;
}

function toSpot(
  { mark: lead, sides }: Fished,
  members: readonly EnrichedWaypoint[],
  notes: ReadonlyMap<string, MarkNote>,
  usual: number,
): FishingSpot {
  const { waypoint, fields } = lead;
  const others = members.filter((mark) => mark !== lead).map((mark) => mark.waypoint.name);
  const leadNote = notes.get(waypoint.name) ?? {};
  const wish = leadNote.wish ?? others.map((name) => notes.get(name)?.wish).find(Boolean);
  const { fish_top: top, fish_bottom: bottom } = fields;
  return {
    ...placeOf(lead, others),
    fish: top === undefined || bottom === undefined ? undefined : { top, bottom },
    lure: fields.lure,
    sides,
    note: { ...leadNote, wish },
    weight: weightBelief(usual, leadNote.priority ?? 1, members.map(textOf).join('; ')),
    quality: qualityOf(sides[0].worth) * (BY_STATUS[fields.status ?? 'ok'] ?? 1),
  };
}

const textOf = ({ waypoint }: EnrichedWaypoint): string =>
  `${waypoint.name}; ${waypoint.comment}; ${waypoint.description}`;

const qualityOf = (worth: number): number =>
  MIN_QUALITY + (1 - MIN_QUALITY) * (1 - Math.exp(-worth / GOOD_CONTACT));

function sidesOf({ fields }: EnrichedWaypoint): SpotSide[] {
  const ranked = rankCasts({
    downslope: sideOf(fields, 'downslope', 0),
    upslope: sideOf(fields, 'upslope', 1),
  });
  return ranked.map((side) => ({ ...side, share: Math.min(1, side.worth / ranked[0].worth) }));
}

function sideOf(fields: Partial<FieldValues>, word: 'downslope' | 'upslope', side: Side) {
  const placed = (lat: number | undefined, lon: number | undefined) =>
    lat === undefined || lon === undefined ? undefined : { lat, lon };
  const boat = placed(fields[`${word}_lat`], fields[`${word}_lon`]);
  return (
    boat && {
      side,
      ...boat,
      depth: fields[`${word}_depth`],
      castMagnetic: fields[`${word}_cast_mag`],
      castTrue: fields[`${word}_cast_true`],
      cast: fields[`${word}_cast`],
      landingDepth: fields[`${word}_landing_depth`],
      landing: placed(fields[`${word}_landing_lat`], fields[`${word}_landing_lon`]),
      worth: fields[`${word}_worth`] ?? fields[`${word}_fish_contact`] ?? fields[`${word}_contact`] ?? 0,
    }
  );
}

/** Returns the value of a fish at a spot, relative to a fish at a spot of priority 1. */
export const priorityWeight = ({ note }: FishingSpot): number => PRIORITY_WEIGHT[(note.priority ?? 1) - 1];

const PRIORITY_WEIGHT = [1, 1.4, 2] as const;
