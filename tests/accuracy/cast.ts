import { quantile } from 'd3-array';
import type { KnownBottom } from '../../fixtures/lakes/bottom.ts';
import type { CastPlan } from '../../shared/contract/cast-plan.ts';
import { METERS_PER } from '../../shared/contract/units.ts';
import { downslopeRules, standOff, upslopeRules } from '../../shared/retrieve/cast-rules.ts';
import type { Section } from '../sections.ts';
import { truthAt } from './bottom-marks.ts';
import { type BestContact, bestContacts, contactOn, knownLine } from './brute-force-cast.ts';
import {
  CAST,
  type CastMark,
  type CastScenario,
  castMarks,
  DRAFT,
  planSounded,
  tackle,
} from './cast-marks.ts';
import { printRealBottoms } from './cast-real.ts';
import { printStability } from './cast-stability.ts';
import { printWorkedExample } from './cast-worked-example.ts';

const MARKS = 240;
/**
 * More marks than `MARKS`, because fewer are fishable from the deep side: with 240, p10 has a standard error
 * of .03.
 */
const STATED_MARKS = 600;
/** Minimum contact of the best cast on the true bottom at a fishable side of a mark, m. */
const FISHABLE = 3;
/**
 * Minimum difference in depth within a cast of the mark at a fishable side, m: a foot more than the boat
 * needs.
 */
const RELIEF = 0.9144;
/** Minimum slope of a steep face, deg. */
const STEEP = 10;

const QUIET = { spacing: 25 };
const ROUGH_BOTTOM = { roughness: 0.1, second: [70, 110] as const };
const ROUGH_SURVEY = { spacing: 30, offset: 2, noise: 0.15 };
/** Stability is tested on different marks. */
const STABILITY_SEED = 30_000;
export const SCENARIOS: readonly CastScenario[] = [
  { name: 'depth not stated, passes 25 m apart', seed: 910_000, survey: QUIET, isStated: false },
  {
    name: 'depth not stated, rough bottom, second feature, passes 30 m apart, off by 2 m',
    seed: 920_000,
    bottom: ROUGH_BOTTOM,
    survey: ROUGH_SURVEY,
    isStated: false,
  },
  {
    name: '3 ft above and below the mark stated, passes 25 m apart',
    seed: 930_000,
    survey: QUIET,
    isStated: true,
  },
];

/** Performance of a cast on the true bottom. */
export interface Result {
  readonly best: BestContact;
  readonly plan?: CastPlan;
  /** Contact of the planned cast on the true bottom, m. */
  readonly contact: number;
  /** True depth at the boat minus that at the mark, m. */
  readonly deeper: number;
  /** True depth at the boat minus the greatest depth of the fish, m. */
  readonly clear: number;
  readonly slope: number;
  /**
   * True if the true bottom within a cast is deeper (deep side) or shallower (shallow side) by at least
   * `RELIEF`.
   */
  readonly hasWater: boolean;
  readonly seed: number;
  readonly word: string;
}

type Sides = Record<'downslope' | 'upslope', Result>;

/** Returns how the planned casts of a mark do on the true bottom, beside the best possible casts. */
export function resultsOf(mark: CastMark, best: Record<'downslope' | 'upslope', BestContact>): Sides {
  const planned = planSounded(mark.soundings, mark.fish);
  return {
    downslope: resultOf(mark, planned?.downslope, best.downslope, 1),
    upslope: resultOf(mark, planned?.upslope, best.upslope, -1),
  };
}

/**
 * Finds the contact of the best casts on both sides, m, by the first rule with a worthwhile cast, else by the
 * last.
 */
export function bestOn({ bottom, fish }: CastMark): Record<'downslope' | 'upslope', BestContact> {
  const sides = [downslopeRules(fish, DRAFT), upslopeRules(fish, DRAFT)];
  const found = bestContacts(bottom, sides.flat(), standOff(fish, CAST), fish, tackle);
  const first = (some: readonly BestContact[]): BestContact =>
    some.find(({ usualLure }) => usualLure > FISHABLE) ?? some[some.length - 1];
  return {
    downslope: first(found.slice(0, sides[0].length)),
    upslope: first(found.slice(sides[0].length)),
  };
}

function resultOf(
  { bottom, fish, seed, word }: CastMark,
  plan: CastPlan | undefined,
  best: BestContact,
  sign: number,
): Result {
  const { depth, slope } = truthAt(bottom, 0, 0);
  const hasWater = reliefWithin(bottom, CAST, sign) >= RELIEF;
  const base = { best, slope, hasWater, seed, word };
  if (plan === undefined) return { ...base, contact: 0, deeper: 0, clear: 0 };
  const { boat, bearing, cast } = plan;
  const line = knownLine(bottom, fish, bearing, [boat.east, boat.north], 0, Math.ceil(1.1 * cast) + 4);
  const lure = tackle.lures.findIndex(({ name }) => name === plan.lure);
  const contact = contactOn({ line, boat: 0, cast, lure }, fish, tackle);
  const water = bottom.depth(boat.east, boat.north);
  return { ...base, plan, contact, deeper: water - depth, clear: water - fish.ground.bottom };
}

/** Returns how much deeper (sign 1) or shallower (-1) than the mark the bottom gets within a radius, m. */
function reliefWithin(bottom: KnownBottom, radius: number, sign: number): number {
  let most = 0;
  for (let east = -radius; east <= radius; east += 2)
    for (let north = -radius; north <= radius; north += 2)
      if (Math.hypot(east, north) <= radius)
        most = Math.max(most, sign * (bottom.depth(east, north) - bottom.depth(0, 0)));
  return most;
}

const share = <T>(some: readonly T[], has: (one: T) => boolean): number =>
  some.filter(has).length / some.length;
const at = (values: readonly number[], p: number): string => (quantile(values, p) ?? Number.NaN).toFixed(3);

/**
 * Formats p10 with its standard error: half the distance of the quantiles one binomial standard error to each
 * side.
 */
function lowestTenth(values: readonly number[]): string {
  const off = Math.sqrt((0.1 * 0.9) / values.length);
  const [low, high] = [0.1 - off, 0.1 + off].map((p) => quantile(values, Math.max(p, 0)) ?? Number.NaN);
  return `${at(values, 0.1)} +- ${((high - low) / 2).toFixed(3)}`;
}

export function printResults(results: readonly Sides[], print: (line: string) => void): void {
  for (const side of ['downslope', 'upslope'] as const) {
    const fishable = results
      .map((one) => one[side])
      .filter(({ best, hasWater }) => hasWater && best.usualLure >= FISHABLE);
    const given = fishable.filter((one): one is Result & { plan: CastPlan } => one.plan !== undefined);
    const ratios = fishable.map(({ contact, best }) => contact / best.usualLure);
    const ofAny = fishable.map(({ contact, best }) => contact / best.anyLure);
    const off = given.map(({ plan }) => Math.hypot(plan.boat.east, plan.boat.north));
    const sign = side === 'downslope' ? 1 : -1;
    print(
      `  ${side === 'downslope' ? 'deep side' : 'shallow side'}: ${fishable.length} fishable marks, with a position ${(given.length / fishable.length).toFixed(3)};` +
        ` true contact over that of brute force with the usual lure: median ${at(ratios, 0.5)}, p10 ${lowestTenth(ratios)}; with any lure: median ${at(ofAny, 0.5)}, p10 ${lowestTenth(ofAny)}`,
    );
    print(
      `    boat at least 15 m from the mark ${share(off, (one) => one >= 15).toFixed(3)}, minimum ${Math.min(...off).toFixed(1)} m;` +
        ` at least 0.45 m ${sign > 0 ? 'deeper' : 'shallower'} than the mark ${share(given, ({ deeper, plan }) => plan.kind === 'opposite' || sign * deeper >= 0.45).toFixed(3)}`,
    );
    const clearances = [2, 1.5, 1]
      .map((feet) => `${feet} ft ${share(given, ({ clear }) => clear >= feet * METERS_PER.ft).toFixed(3)}`)
      .join(', ');
    if (sign > 0) print(`    boat deeper than the fish on the true bottom by at least ${clearances}`);
    for (const [name, some] of [
      ['all', given],
      [`slope from ${STEEP} deg`, given.filter(({ slope }) => slope >= STEEP)],
    ] as const) {
      const claims = some.map(({ plan, contact }) => plan.fishContact / contact);
      const z = some.map(
        ({ plan, contact }) => (plan.fishContact - contact) / Math.max(plan.fishContactSd, 0.1),
      );
      print(
        `    stated over true contact, ${name} (${some.length}): median ${at(claims, 0.5)}, over 2 in ${share(claims, (one) => one > 2).toFixed(3)}, within 2 sd ${share(z, (one) => Math.abs(one) <= 2).toFixed(3)}`,
      );
    }
  }
}

/** Compares casts chosen on the modeled bottom with the best possible ones on the true bottom. */
export const section: Section = {
  name: 'cast',
  run(print) {
    for (const scenario of SCENARIOS) {
      const count = scenario.isStated ? STATED_MARKS : MARKS;
      print(`${scenario.name}: ${count} marks`);
      printResults(
        [...castMarks(scenario, count)].map((mark) => resultsOf(mark, bestOn(mark))),
        print,
      );
    }
    printWorkedExample(print);
    for (const scenario of [SCENARIOS[0], SCENARIOS[2]])
      printStability({ ...scenario, seed: scenario.seed + STABILITY_SEED }, print);
    printRealBottoms(print);
  },
};
