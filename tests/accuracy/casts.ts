import { type KnownBottom, makeBottom, STRUCTURE_WORDS } from '../../fixtures/lakes/bottom.ts';
import { simulateSurvey } from '../../fixtures/lakes/survey.ts';
import { cast as castPlugin } from '../../plugins/cast.ts';
import { modelBottom } from '../../shared/bottom/model-bottom.ts';
import type { DepthRange } from '../../shared/contract/options.ts';
import type { CastPlan } from '../../shared/retrieve/cast-plan.ts';
import { downslopeRules, upslopeRules } from '../../shared/retrieve/cast-rules.ts';
import { type Fish, NEAR_MARK } from '../../shared/retrieve/fish.ts';
import { judgeCast, TACKLE_PERTURBATIONS } from '../../shared/retrieve/judge.ts';
import { type Scratch, scratch, type Tackle, tackleOf } from '../../shared/retrieve/tackle.ts';
import type { Section } from '../sections.ts';
import { bestCastOn, knownLine } from './brute-force-cast.ts';

const MARKS = 200;
const SPACING = 25;
const SEED = 41_000;
const DRAFT = 0.9144;
const CAST = 45.72;
/** A mark is counted on a side where some cast on the true bottom holds the lure in the band this long, m. */
const WORTH = 3;

interface Result {
  /** Contact inside the band, m: the best on the true bottom, and of the plan on the true bottom. */
  readonly best: number;
  readonly sameLure: number;
  readonly planned: number | undefined;
  readonly claimed: number;
  /** True and claimed depth at the boat, m. */
  readonly boat?: readonly [number, number];
  readonly isFlagged: boolean;
}

/** Casts chosen on the modeled bottom against the best there are on the true one. */
export const section: Section = {
  name: 'casts',
  run(print) {
    const room = scratch();
    const tackle = tackleOf({ line: '12', cast: CAST }, room);
    const results: Record<'downslope' | 'upslope', Result[]> = { downslope: [], upslope: [] };
    let marks = 0;
    for (let seed = SEED; marks < MARKS; seed++) {
      const word = STRUCTURE_WORDS[seed % STRUCTURE_WORDS.length];
      const bottom = makeBottom(word, { seed });
      const depth = bottom.depth(0, 0);
      // 3 ft above and below the mark, as the tool does without a note; deeper than the deepest lure there is no cast.
      const allowance = Math.min(0.9144, 0.25 * depth);
      const band = { top: depth - allowance, bottom: depth + allowance };
      if (tackle.reach(tackle.lures.length - 1, CAST) < band.bottom - 0.3048) continue;
      const planned = planOn(bottom, band, seed);
      if (planned === undefined) continue;
      const fish = fishOn(depth, band);
      let counted = false;
      for (const side of ['downslope', 'upslope'] as const) {
        const rule = (side === 'downslope' ? downslopeRules : upslopeRules)(fish, DRAFT)[0];
        const best = bestCastOn(bottom, rule, fish, tackle, room);
        if (best === undefined || best.fishContact < WORTH) continue;
        results[side].push(resultOf(bottom, planned[side], planned.notes, side, best, fish, tackle, room));
        counted = true;
      }
      if (counted) marks++;
    }
    print(
      `${MARKS} marks on known bottoms, passes ${SPACING} m apart, band 3 ft above and below the mark, 50 yd, 12 lb`,
    );
    for (const side of ['downslope', 'upslope'] as const) printSide(print, side, results[side]);
  },
};

/** Fish about a mark that says nothing of their depth. */
const fishOn = (depth: number, band: DepthRange): Fish => ({
  east: 0,
  north: 0,
  spread: NEAR_MARK,
  band,
  ground: { top: depth, bottom: depth },
  place: 'at-mark',
});

/** The plan of the tool on the modeled bottom. */
function planOn(
  bottom: KnownBottom,
  band: DepthRange,
  seed: number,
): { downslope?: CastPlan; upslope?: CastPlan; notes: string[] } | undefined {
  const soundings = simulateSurvey(bottom, { seed: seed + 7, spacing: SPACING });
  const model = modelBottom(soundings, 45, -93);
  if (model.grid === undefined) return undefined;
  const notes: string[] = [];
  const input = {
    waypoint: {},
    waypoints: [],
    fields: { bottom: model, fish_top: band.top, fish_bottom: band.bottom, fish_source: 'depth' },
  };
  const options = { units: 'ft', draft: DRAFT, line: '12', cast: CAST, hazards: [] };
  const context = {
    report: ({ code }: { code: string }) => notes.push(code),
    progress: () => {},
    isWanted: () => true,
  };
  return { ...castPlugin.run(input as never, options as never, context), notes };
}

function resultOf(
  bottom: KnownBottom,
  plan: CastPlan | undefined,
  notes: readonly string[],
  side: string,
  best: { fishContact: number; sameLure: number },
  fish: Fish,
  tackle: Tackle,
  room: Scratch,
): Result {
  const base = {
    best: best.fishContact,
    sameLure: best.sameLure,
    isFlagged: notes.includes(`cast/${side}-boat-shallow`),
  };
  if (plan === undefined) return { ...base, planned: undefined, claimed: 0 };
  const { boat, bearing, cast } = plan;
  const line = knownLine(bottom, fish, bearing, [boat.east, boat.north], 0, Math.ceil(1.1 * cast) + 4);
  const lure = tackle.lures.find(({ name }) => name === plan.lure);
  if (lure === undefined) throw new Error(plan.lure);
  const on = judgeCast({ line, boat: 0, cast, lure: lure.drag }, fish, tackle, 1, room, TACKLE_PERTURBATIONS);
  return {
    ...base,
    planned: on.fishContact,
    claimed: plan.fishContact,
    boat: [bottom.depth(boat.east, boat.north), boat.depth],
  };
}

function printSide(print: (line: string) => void, side: string, results: readonly Result[]): void {
  const made = results.filter((one) => one.planned !== undefined);
  const percent = (values: readonly number[], share: number): string =>
    `${(100 * quantile(values, share)).toFixed(0)} %`;
  const ratio = (over: (one: Result) => number, some: readonly Result[]): number[] =>
    some.filter((one) => over(one) > 0).map((one) => (one.planned ?? 0) / over(one));
  const same = ratio((one) => one.sameLure, made);
  const any = ratio((one) => one.best, made);
  const withMissing = ratio((one) => one.sameLure, results);
  print(
    `${side}: ${results.length} marks with a cast on the true bottom, ${results.length - made.length} left out by the model (with a reason)`,
  );
  print(
    `  contact inside the band, of the best with the same lure: median ${percent(same, 0.5)}, 10th percentile ${percent(same, 0.1)}` +
      ` (left-out marks as 0: ${percent(withMissing, 0.5)}, ${percent(withMissing, 0.1)})`,
  );
  print(
    `  of the best with any cast and the lure for it: median ${percent(any, 0.5)}, 10th percentile ${percent(any, 0.1)}`,
  );
  const errors = made.map((one) => one.claimed - (one.planned ?? 0));
  print(
    `  claimed less true contact: median ${quantile(errors, 0.5).toFixed(1)} m, 10 to 90 % ${quantile(errors, 0.1).toFixed(1)} to ${quantile(errors, 0.9).toFixed(1)} m`,
  );
  const boats = made.flatMap(({ boat }) => (boat === undefined ? [] : [boat[0] - boat[1]]));
  const shallow = made.filter(({ boat }) => boat !== undefined && boat[0] < DRAFT);
  print(
    `  true less claimed depth at the boat: rms ${Math.sqrt(boats.reduce((s, e) => s + e * e, 0) / boats.length).toFixed(2)} m;` +
      ` boats in less than the draft ${shallow.length}, of them flagged ${shallow.filter(({ isFlagged }) => isFlagged).length}`,
  );
}

function quantile(values: readonly number[], share: number): number {
  const sorted = [...values].sort((a, b) => a - b);
  return sorted[Math.min(sorted.length - 1, Math.floor(share * sorted.length))] ?? Number.NaN;
}
