import { deviation, mean } from 'd3-array';
import type { DepthRange } from '../contract/index.ts';
import type { CastLine } from './cast-lines.ts';
import { depthWeight, type Fish } from './fish.ts';
import { JUDGE_STEP, type TackleCase } from './launches.ts';
import { simulateRetrieve } from './retrieve.ts';
import type { Candidate } from './search.ts';
import type { Tackle } from './tackle.ts';
import { clearanceAt, countedLength, depthsNearBottom, NEAR_BOTTOM } from './touch.ts';
import { CAST_SPREAD } from './trail.ts';

/** Share of its depth by which a lure may run shallower or deeper than computed: 8 %; judgment. */
const DEPTH_SPREAD = 0.08;

/** One case of uncertain cast length, lure depth and bottom. */
export interface Perturbation {
  readonly off: TackleCase;
  /** Phases of the two waves in a draw of the bottom, in thirds of a turn; absent: the bottom as modeled. */
  readonly phases?: Phases;
}

type Phases = readonly [long: number, short: number];

const THIRDS = [0, 1, 2];
const third = (at: number): number => at % 3;
/** All pairs of phases: each pair is one object, so that the object can be a key of `Draws`. */
const PHASES: readonly (readonly Phases[])[] = THIRDS.map((long) =>
  THIRDS.map((short) => [long, short] as const),
);

/** Draws of the bottom by phases: deviations at each meter of a line, in the model's standard deviations. */
export type Draws = ReadonlyMap<Phases, Float64Array>;

/**
 * Makes nine draws of the bottom along any line past the fish, each the sum of a long and a short wave.
 *
 * @param wave Length of the long wave, m; the short wave is half as long.
 * @param half Length of a line on either side of the point nearest the fish, m.
 */
export function drawsAlong(wave: number, half: number): Draws {
  const turn = (2 * Math.PI) / wave;
  // Each wave has half of the variance, and its three phases sum to zero.
  const [long, short] = [1, 0.5].map((share) =>
    THIRDS.map((phase) =>
      new Float64Array(2 * half + 1).map((_, i) =>
        Math.cos(turn * ((i - half) / share) + (2 * Math.PI * phase) / 3),
      ),
    ),
  );
  return new Map(
    PHASES.flat().map((phases) => [phases, long[phases[0]].map((height, i) => height + short[phases[1]][i])]),
  );
}

/** Nine perturbations for a known bottom: cast and lure depth each below, at and above the expected value. */
export const TACKLE_PERTURBATIONS: readonly Perturbation[] = THIRDS.flatMap((a) =>
  THIRDS.map((b) => ({ off: { cast: 1 + (a - 1) * CAST_SPREAD, depth: 1 + (b - 1) * DEPTH_SPREAD } })),
);

/**
 * Nine perturbations for a first comparison of casts: an orthogonal array of the four factors cast, lure
 * depth and two phases. Each pair of levels of any two factors occurs once.
 */
export const NINE_PERTURBATIONS: readonly Perturbation[] = TACKLE_PERTURBATIONS.map((tackle, i) => ({
  ...tackle,
  phases: PHASES[third(Math.floor(i / 3) + i)][third(2 * Math.floor(i / 3) + i)],
}));

/**
 * 27 perturbations for the results: an orthogonal array of the same factors. Each triple of levels of any
 * three factors occurs once. Perturbations are in order of the draws, so that each bottom is laid once.
 */
export const ALL_PERTURBATIONS: readonly Perturbation[] = PHASES.flat().flatMap((phases) =>
  TACKLE_PERTURBATIONS.filter((_, i) => third(phases[0] + Math.floor(i / 3) + i) === phases[1]).map(
    ({ off }) => ({ off, phases }),
  ),
);

export type Verdict = ReturnType<typeof judgeCast>;

/**
 * Judges a cast by the retrieve model over perturbed casts, lures and bottoms.
 *
 * @param draws Absent: the bottom is known, and only cast and lure are perturbed.
 * @returns Means over the perturbations, and the standard deviation `amongSd`.
 */
export function judgeCast(
  { line, boat, cast, lure }: Pick<Candidate, 'line' | 'boat' | 'cast' | 'lure'>,
  fish: Fish,
  { launches, scratch: { path, work, bottom, density } }: Pick<Tackle, 'launches' | 'scratch'>,
  draws: Draws | undefined,
  perturbations: readonly Perturbation[],
) {
  const { suspended, stated } = fish;
  const count = perturbations.length;
  const amongs = new Float64Array(count);
  let contact = 0;
  let span = 0;
  const launch = launches(lure, cast);
  for (let i = 0; i < count; i++) {
    const { off, phases } = perturbations[i];
    if (i === 0 || phases !== perturbations[i - 1].phases) {
      layBottom(bottom.depth, line, boat, phases && draws?.get(phases));
      layFish(density.depth, line, boat, bottom.depth, fish);
    }
    const { setup, flight } = launch(off);
    // With less line out than the water is deep, no lure is on bottom, so the retrieve may end there.
    const shallowest = least(bottom.depth, Math.ceil(setup.cast) + 3);
    simulateRetrieve(setup, bottom, JUDGE_STEP, path, work, Math.max(0.9 * shallowest, 1), flight);
    const onBottom = countedLength(path, (i) => clearanceAt(path, bottom, i) - NEAR_BOTTOM, density);
    const among =
      suspended === undefined
        ? onBottom
        : countedLength(path, (i) => gapTo(suspended, path.depth[i]), density);
    contact += onBottom.length / count;
    amongs[i] = among.weighted;
    if (stated !== undefined) {
      const [shallow, deep] = depthsNearBottom(path, bottom, stated) ?? [0, 0];
      span += (deep - shallow) / (stated.bottom - stated.top) / count;
    }
  }
  return {
    /** Length of the retrieve on bottom, m. */
    contact,
    /** Length on bottom, or at the depths of suspended fish, weighted by the density of the fish, m. */
    among: mean(amongs) ?? 0,
    /** Standard deviation of `among` over the draws of the bottom, m; 0 for a known bottom. */
    amongSd: Math.hypot(deviationBy(perturbations, 0, amongs), deviationBy(perturbations, 1, amongs)),
    /** Share of the stated depth band that the lure covers on bottom, 0 to 1; 0 when no depth is stated. */
    span,
  };
}

/** Returns the standard deviation of mean lengths by phase of the long wave (0) or the short wave (1), m. */
function deviationBy(perturbations: readonly Perturbation[], which: number, lengths: Float64Array): number {
  // Each phase occurs in a third of the perturbations.
  const sums = [0, 0, 0];
  for (let i = 0; i < lengths.length; i++) {
    const { phases } = perturbations[i];
    if (phases !== undefined) sums[phases[which]] += lengths[i];
  }
  return deviation(sums.map((sum) => (3 * sum) / lengths.length)) ?? 0;
}

const gapTo = ({ top, bottom }: DepthRange, depth: number): number => Math.max(top - depth, depth - bottom);

function layFish(
  density: Float64Array,
  { near }: CastLine,
  boat: number,
  depth: Float64Array,
  fish: Fish,
): void {
  for (let i = 0, at = boat; i < density.length; i++, at++)
    density[i] = at < near.length ? near[at] * depthWeight(fish, depth[i]) : 0;
}

function least(values: Float64Array, count: number): number {
  let value = values[0];
  for (let i = 1; i < Math.min(count, values.length); i++) if (values[i] < value) value = values[i];
  return value;
}

/**
 * Fills in the depths at whole meters from the boat. Where the line has no depth, the last depth continues.
 *
 * @param deviates A draw of the bottom, in standard deviations of the model; absent: the bottom as modeled.
 */
export function layBottom(
  depth: Float64Array,
  { depth: ground, sd }: CastLine,
  boat: number,
  deviates?: Float64Array,
): void {
  let known = 0;
  for (let i = 0, at = boat; i < depth.length; i++, at++) {
    if (at < ground.length && !Number.isNaN(ground[at]))
      known = deviates === undefined ? ground[at] : ground[at] + sd[at] * deviates[at];
    depth[i] = known;
  }
}
