import type { AreaKind, LineKind } from '../contract/index.ts';
import type { LakeArea } from './lake-areas.ts';
import { type GroundLattice, nodeOf } from './lake-bottom.ts';
import type { LakeGrid } from './lake-grid.ts';
import { type LakeLine, placeOf } from './lake-lines.ts';

/** A straight pass, and what it would settle. */
export interface NextPass {
  readonly from: readonly [lat: number, lon: number];
  readonly to: readonly [lat: number, lon: number];
  /** m. */
  readonly length: number;
  /** Length of lines drawn between passes that it runs over or beside, m. */
  readonly inferred: number;
  /** What it runs over, most of it first. */
  readonly kinds: readonly (LineKind | AreaKind)[];
  /** Indices of the places of interest that it runs by. */
  readonly places: readonly number[];
}

/** A place that the search for passes keeps to. */
export interface PlaceOfInterest {
  readonly lat: number;
  readonly lon: number;
  /** Share of the draws on which it is what it is taken for, 0 to 1. */
  readonly sure: number;
}

/** A pass settles what lies within this of it, m, and reaches this far from its middle at most, and beyond what it settles. */
const BESIDE = 10;
const HALF = 120;
const BEYOND = 25;
/** Nearer to a sounding than this a place was seen, m. */
const SEEN = 5;
/** Draws with a form under which it is worth a pass, and what its top counts as, m of line. */
const UNSURE_FORM = 0.8;
const FORM_WORTH = 30;
/** Least length of line that makes a pass worth its time, m. */
const LEAST_WORTH = 20;
/** With places of interest, what lies farther from all of them does not count, m. */
const NEAR = 100;

interface Unsure {
  readonly x: number;
  readonly y: number;
  /** m of line. */
  readonly worth: number;
  readonly kind?: LineKind | AreaKind;
  /** Index of the place of interest that it is. */
  readonly place?: number;
}

/**
 * Where to scan next: passes over what was drawn between passes, the one that settles most first.
 *
 * Each runs along the lattice, as most passes do: so it halves the gap that hid the line. What one settles the next does not
 * count again.
 *
 * @param places Only what lies within 100 m of one of them is worth a pass, and they themselves while the draws differ on them.
 */
export function nextPasses(
  grid: LakeGrid,
  lines: readonly LakeLine[],
  areas: readonly LakeArea[],
  places?: readonly PlaceOfInterest[],
  most = 10,
): NextPass[] {
  let left = unsurePlaces(grid, lines, areas);
  if (places !== undefined) left = nearPlaces(grid, left, places);
  const passes: NextPass[] = [];
  while (passes.length < most && left.length > 0) {
    const best = left
      .map((place) => settledBy(grid, left, place))
      .reduce((a, b) => (worthOf(b) > worthOf(a) ? b : a));
    if (worthOf(best) < LEAST_WORTH) break;
    passes.push(passOver(grid, best));
    left = left.filter((place) => !best.includes(place));
  }
  return passes;
}

const worthOf = (places: readonly Unsure[]): number => places.reduce((sum, { worth }) => sum + worth, 0);

/** Places of inferred lines, and tops of unsure forms, that no pass ran over. */
function unsurePlaces(grid: LakeGrid, lines: readonly LakeLine[], areas: readonly LakeArea[]): Unsure[] {
  const onLines = lines
    .filter(({ isInferred }) => isInferred)
    .flatMap(({ kind, places, length }) =>
      places.map((place) => unsure(grid, place, length / places.length, kind)),
    );
  const onTops = areas
    .filter(({ kind, sure }) => kind !== 'flat' && sure < UNSURE_FORM)
    .map(({ kind, top }) => unsure(grid, top, FORM_WORTH, kind));
  return [...onLines, ...onTops].filter((place) => isUnseen(grid, place));
}

const isUnseen = ({ distance, columns }: LakeGrid, { x, y }: Unsure): boolean =>
  distance[Math.round(y) * columns + Math.round(x)] >= SEEN;

/** Of what is unsure that which is near a place of interest, and those of the places that are unsure themselves. */
function nearPlaces(grid: LakeGrid, left: readonly Unsure[], places: readonly PlaceOfInterest[]): Unsure[] {
  const own = places.map(({ lat, lon, sure }, place): Unsure => {
    const [x, y] = nodeOf(grid, lat, lon);
    return { x, y, worth: 2 * FORM_WORTH * (1 - sure), place };
  });
  const isNear = (unsure: Unsure): boolean =>
    own.some(({ x, y }) => Math.hypot(x - unsure.x, y - unsure.y) * grid.cell <= NEAR);
  const unsure = own.filter((place) => places[place.place!].sure < UNSURE_FORM && isUnseen(grid, place));
  return [...left.filter(isNear), ...unsure];
}

function unsure(
  ground: GroundLattice,
  [lat, lon]: readonly [number, number],
  worth: number,
  kind: LineKind | AreaKind,
): Unsure {
  const [x, y] = nodeOf(ground, lat, lon);
  return { x, y, worth, kind };
}

/** What a pass along the lattice through a place settles. */
const settledBy = ({ cell }: LakeGrid, places: readonly Unsure[], { x, y }: Unsure): Unsure[] =>
  places.filter((other) => Math.abs(other.y - y) * cell <= BESIDE && Math.abs(other.x - x) * cell <= HALF);

function passOver(grid: LakeGrid, settled: readonly Unsure[]): NextPass {
  const worth = worthOf(settled);
  const y = settled.reduce((sum, each) => sum + each.y * each.worth, 0) / worth;
  const from = Math.min(...settled.map(({ x }) => x)) - BEYOND / grid.cell;
  const to = Math.max(...settled.map(({ x }) => x)) + BEYOND / grid.cell;
  const byKind = new Map<LineKind | AreaKind, number>();
  for (const { kind, worth: own } of settled)
    if (kind !== undefined) byKind.set(kind, (byKind.get(kind) ?? 0) + own);
  return {
    from: placeOf(grid, from, y),
    to: placeOf(grid, to, y),
    length: (to - from) * grid.cell,
    inferred: settled.reduce((sum, each) => sum + (each.kind === undefined ? 0 : each.worth), 0),
    kinds: [...byKind].sort((a, b) => b[1] - a[1]).map(([kind]) => kind),
    places: settled.flatMap(({ place }) => place ?? []),
  };
}
