import { deviation, mean } from 'd3-array';
import type { DepthRange } from '../contract/index.ts';
import type { CastLine } from './cast-lines.ts';
import { depthWeight, type Fish } from './fish.ts';
import { deeperBy } from './lures.ts';
import type { RetrievePath } from './path.ts';
import type { BottomProfile } from './profile.ts';
import { simulateRetrieve } from './retrieve.ts';
import type { LureDrag } from './rig.ts';
import type { Scratch } from './scratch.ts';
import { CAST_SPREAD, DEPTH_SPREAD } from './search.ts';
import type { Tackle } from './tackle.ts';
import { clearanceAt, countedLength, NEAR_BOTTOM } from './touch.ts';

/** Longest step of the retrieves that casts are judged by, m of line. */
const JUDGE_STEP = 1.5;

/** What is not known of a cast beforehand: how far it goes, how deep the lure runs, and the bottom between passes. */
export interface Perturbation {
  /** Factors on cast and lure depth. */
  readonly cast: number;
  readonly depth: number;
  /** Phase of the draw of the bottom, deg; absent: as modeled. */
  readonly phase?: number;
}

/**
 * Nine perturbations: cast and lure depth short, as computed and over in every combination, with three draws of the
 * bottom spread evenly over them (an orthogonal array of three factors at three levels).
 */
const PERTURBATIONS: readonly Perturbation[] = [-1, 0, 1].flatMap((a, i) =>
  [-1, 0, 1].map((b, j) => ({
    cast: 1 + a * CAST_SPREAD,
    depth: 1 + b * DEPTH_SPREAD,
    phase: 120 * ((i + j) % 3),
  })),
);

/** Cast and lure depth alone, in every combination: for a bottom that is known. */
export const TACKLE_PERTURBATIONS: readonly Perturbation[] = PERTURBATIONS.map(({ cast, depth }) => ({
  cast,
  depth,
}));

/** What a cast is expected to do: means over the perturbations, m. */
export interface Verdict {
  /** Length of the retrieve on bottom. */
  readonly contact: number;
  /** Length among the fish, each meter counted by their density there: on bottom or, where they are suspended, at their depth. */
  readonly among: number;
  /** Standard deviation of `among` over the draws of the bottom, m; 0 for a bottom that is known. */
  readonly amongSd: number;
  /** Share of the depths stated that the lure is on bottom at, 0 to 1; 0 when none are. */
  readonly span: number;
}

/** A boat position on a line with a cast and a lure. */
export interface CastOnLine {
  readonly line: CastLine;
  /** Place of the boat in the line's arrays. */
  readonly boat: number;
  /** m. */
  readonly cast: number;
  readonly lure: LureDrag;
}

/**
 * What a cast is expected to do, by the retrieve model over perturbed casts, lures and bottoms.
 *
 * @param wave Length of the waves by which a draw of the bottom differs from the model, m; about four pass spacings,
 * since the bottom is known at the passes and not between.
 */
export function judgeCast(
  { line, boat, cast, lure }: CastOnLine,
  fish: Fish,
  tackle: Pick<Tackle, 'line' | 'handling'>,
  wave: number,
  { path, work }: Scratch,
  perturbations: readonly Perturbation[] = PERTURBATIONS,
): Verdict {
  const contacts: number[] = [];
  const spans: number[] = [];
  const amongs = new Map<number | undefined, number[]>();
  for (const { cast: castFactor, depth, phase } of perturbations) {
    const profile = {
      spacing: 1,
      depth: bottomAlong(line, boat, Math.ceil(cast * castFactor) + 2, wave, phase),
    };
    const setup = {
      cast: cast * castFactor,
      line: tackle.line,
      lure: deeperBy(lure, depth),
      handling: tackle.handling,
    };
    // With less line than the water is deep no lure is on bottom.
    simulateRetrieve(setup, profile, JUDGE_STEP, path, work, Math.max(0.9 * least(profile.depth), 1));
    const density = { spacing: 1, depth: fishAlong(line, boat, profile.depth, fish) };
    const onBottom = countedLength(path, (i) => clearanceAt(path, profile, i) - NEAR_BOTTOM, density);
    const { suspended, stated } = fish;
    const among =
      suspended === undefined
        ? onBottom
        : countedLength(path, (i) => gapTo(suspended, path.depth[i]), density);
    contacts.push(onBottom.length);
    amongs.set(phase, [...(amongs.get(phase) ?? []), among.weighted]);
    if (stated !== undefined) spans.push(spanNearBottom(path, profile, stated));
  }
  const byDraw = [...amongs.values()].map((lengths) => mean(lengths) ?? 0);
  return {
    contact: mean(contacts) ?? 0,
    among: mean(byDraw) ?? 0,
    amongSd: deviation(byDraw) ?? 0,
    span: mean(spans) ?? 0,
  };
}

const gapTo = ({ top, bottom }: DepthRange, depth: number): number => Math.max(top - depth, depth - bottom);

/** Density of the fish on the bottom at whole meters from the boat. */
function fishAlong(line: CastLine, boat: number, depth: Float64Array, fish: Fish): Float64Array {
  const density = new Float64Array(depth.length);
  const count = Math.min(depth.length, line.near.length - boat);
  for (let i = 0; i < count; i++) density[i] = line.near[boat + i] * depthWeight(fish, depth[i]);
  return density;
}

function least(values: Float64Array): number {
  let value = values[0];
  for (let i = 1; i < values.length; i++) if (values[i] < value) value = values[i];
  return value;
}

/** Share of a band between the least and the greatest depth at which a lure is near the bottom. */
function spanNearBottom(path: RetrievePath, profile: BottomProfile, band: DepthRange): number {
  let least = band.bottom;
  let greatest = band.top;
  for (let i = 1; i < path.count; i++) {
    const depth = path.depth[i];
    if (depth < band.top || depth > band.bottom || clearanceAt(path, profile, i) > NEAR_BOTTOM) continue;
    if (depth < least) least = depth;
    if (depth > greatest) greatest = depth;
  }
  return Math.max(greatest - least, 0) / (band.bottom - band.top);
}

/** Bottom from the boat outward, m: the model, or a draw of it; where the model ends it goes on as it is. */
export function bottomAlong(
  line: CastLine,
  boat: number,
  length: number,
  wave: number,
  phase: number | undefined,
): Float64Array {
  const depth = new Float64Array(length + 1);
  const turn = (2 * Math.PI) / wave;
  const start = ((phase ?? 0) * Math.PI) / 180;
  let known = 0;
  for (let i = 0; i <= length; i++) {
    const at = boat + i;
    const ground = line.depth[at];
    if (at < line.depth.length && !Number.isNaN(ground)) {
      known = ground;
      // A wave of unit variance; three phases a third of a turn apart sum to zero.
      if (phase !== undefined)
        known += line.sd[at] * Math.SQRT2 * Math.cos(turn * (at - line.middle) + start);
    }
    depth[i] = known;
  }
  return depth;
}
