import { rollup, sum } from 'd3-array';
import type { AreaKind, LineKind } from '../contract/index.ts';
import type { LakeArea } from './lake-areas.ts';
import { type GroundLattice, nodeOf } from './lake-bottom.ts';
import type { LakeGrid } from './lake-grid.ts';
import { type LakeLine, placeOf } from './lake-lines.ts';

/** Straight pass, with the features that it would settle. */
export interface NextPass {
  readonly from: readonly [lat: number, lon: number];
  readonly to: readonly [lat: number, lon: number];
  /** Length, m. */
  readonly length: number;
  /** Length of the inferred lines that the pass settles, m. */
  readonly inferred: number;
  /** Kinds of the inferred lines, the longest first. */
  readonly lines: readonly LineKind[];
  /** Kinds of the unsure forms that the pass settles, the most frequent first. */
  readonly forms: readonly AreaKind[];
  /** Indices of the places of interest that the pass settles. */
  readonly places: readonly number[];
}

/** A place near which passes are sought. */
export interface PlaceOfInterest {
  readonly lat: number;
  readonly lon: number;
  /** Share of the draws that confirm the place, 0 to 1. */
  readonly sure: number;
}

/** Distance to each side of a pass within which it settles features, m. */
const BESIDE = 10;
/** Distance along a pass, each way from the place it is laid through, within which it settles features, m. */
const HALF = 120;
/** Length of a pass beyond the features that it settles, at each end, m. */
const BEYOND = 25;
/** Minimum distance from the nearest sounding to a place that counts as unseen, m. */
const SEEN = 5;
/** Minimum share of agreeing draws that makes a form or place of interest sure. */
const UNSURE_FORM = 0.8;
/** Worth of the top or low of an unsure form, m of inferred line. */
const FORM_WORTH = 30;
/** Minimum worth of a pass, m of inferred line. */
const MIN_WORTH = 20;
/** Maximum distance from a place of interest to a feature that counts, m. */
const NEAR = 100;

/** Place on an unsure feature, or an unsure place of interest; `x` and `y` in nodes. */
interface Unsure {
  readonly x: number;
  readonly y: number;
  /** Worth, m of inferred line. */
  readonly worth: number;
  /** What the place is on: an inferred line, or the top or low of an unsure form. */
  readonly line?: LineKind;
  readonly form?: AreaKind;
  /** Index of the place of interest, if this is one. */
  readonly place?: number;
}

/**
 * Proposes passes over features inferred between passes, starting with the pass that settles most.
 *
 * Each pass runs along the lattice, as most passes do, and so divides the gap that hid the feature. Features
 * settled by one pass do not count for the next pass.
 *
 * @param places If given, features count only within `NEAR` of one of these places. A place of interest that
 * is unseen and on which the draws disagree counts as a feature too.
 * @param most Maximum number of passes.
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
    if (worthOf(best) < MIN_WORTH) break;
    passes.push(passOver(grid, best));
    left = left.filter((place) => !best.includes(place));
  }
  return passes;
}

const worthOf = (places: readonly Unsure[]): number => places.reduce((sum, { worth }) => sum + worth, 0);

function unsurePlaces(grid: LakeGrid, lines: readonly LakeLine[], areas: readonly LakeArea[]): Unsure[] {
  const onLines = lines
    .filter(({ isInferred }) => isInferred)
    .flatMap(({ kind, places, length }) =>
      places.map((place) => unsure(grid, place, length / places.length, { line: kind })),
    );
  const onTops = areas
    .filter(({ kind, sure }) => kind !== 'flat' && sure < UNSURE_FORM)
    .map(({ kind, top }) => unsure(grid, top, FORM_WORTH, { form: kind }));
  return [...onLines, ...onTops].filter((place) => isUnseen(grid, place));
}

const isUnseen = ({ distance, columns }: LakeGrid, { x, y }: Unsure): boolean =>
  distance[Math.round(y) * columns + Math.round(x)] >= SEEN;

/** Keeps unsure places near a place of interest, and adds places of interest that are unsure and unseen. */
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
  on: Pick<Unsure, 'line' | 'form'>,
): Unsure {
  const [x, y] = nodeOf(ground, lat, lon);
  return { x, y, worth, ...on };
}

const settledBy = ({ cell }: LakeGrid, places: readonly Unsure[], { x, y }: Unsure): Unsure[] =>
  places.filter((other) => Math.abs(other.y - y) * cell <= BESIDE && Math.abs(other.x - x) * cell <= HALF);

function passOver(grid: LakeGrid, resolved: readonly Unsure[]): NextPass {
  const worth = worthOf(resolved);
  const y = resolved.reduce((sum, each) => sum + each.y * each.worth, 0) / worth;
  const from = Math.min(...resolved.map(({ x }) => x)) - BEYOND / grid.cell;
  const to = Math.max(...resolved.map(({ x }) => x)) + BEYOND / grid.cell;
  /** Adds up the worth of each kind of line or form; the kind worth most comes first. */
  const byWorth = <T>(kindOf: (place: Unsure) => T | undefined): [kind: T, worth: number][] =>
    [...rollup(resolved, worthOf, kindOf)]
      .flatMap(([kind, own]): [T, number][] => (kind === undefined ? [] : [[kind, own]]))
      .sort((a, b) => b[1] - a[1]);
  const lines = byWorth(({ line }) => line);
  return {
    from: placeOf(grid, from, y),
    to: placeOf(grid, to, y),
    length: (to - from) * grid.cell,
    inferred: sum(lines, ([, length]) => length),
    lines: lines.map(([kind]) => kind),
    forms: byWorth(({ form }) => form).map(([kind]) => kind),
    places: resolved.flatMap(({ place }) => place ?? []),
  };
}
