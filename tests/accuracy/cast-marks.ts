import {
  type BottomOptions,
  type KnownBottom,
  makeBottom,
  STRUCTURE_WORDS,
} from '../../fixtures/lakes/bottom.ts';
import { type LocalSoundings, type SurveyOptions, simulateSurvey } from '../../fixtures/lakes/survey.ts';
import { cast as castPlugin } from '../../plugins/cast.ts';
import { modelBottom } from '../../shared/bottom/model-bottom.ts';
import type { BottomModel, StructureWord } from '../../shared/contract/bottom-model.ts';
import type { CastPlan, EarlierCasts } from '../../shared/contract/cast-plan.ts';
import type { DepthRange } from '../../shared/contract/options.ts';
import { type Fish, fishAt } from '../../shared/retrieve/fish.ts';
import { tackleOf } from '../../shared/retrieve/tackle.ts';

/** Draft at all marks, m (3 ft). */
export const DRAFT = 0.9144;
/** Longest cast at all marks, m (50 yd). */
export const CAST = 45.72;
/** Maximum half height of the fish band, m (3 ft). */
const ALLOWANCE = 0.9144;
/** Maximum half height of the fish band as a share of the depth. */
const SHALLOW_SHARE = 0.25;

/** Parameters of the lakes and surveys, and whether the depth of the fish is stated. */
export interface CastScenario {
  readonly name: string;
  readonly seed: number;
  readonly bottom?: Omit<BottomOptions, 'seed'>;
  readonly survey: Omit<SurveyOptions, 'seed'>;
  readonly isStated: boolean;
}

/** A mark on a known bottom with simulated soundings. */
export interface CastMark {
  readonly word: StructureWord;
  readonly seed: number;
  readonly bottom: KnownBottom;
  readonly soundings: LocalSoundings;
  readonly fish: Fish;
}

export const tackle = tackleOf({ line: '12', cast: CAST });

/** Generates marks on each kind of structure in turn, at depths that some lure reaches to within 1 ft. */
export function* castMarks(
  { seed: start, bottom, survey, isStated }: CastScenario,
  count: number,
): Generator<CastMark> {
  for (let seed = start, made = 0; made < count; seed++) {
    const word = STRUCTURE_WORDS[seed % STRUCTURE_WORDS.length];
    const known = makeBottom(word, { ...bottom, seed });
    const fish = fishOn(known.depth(0, 0), isStated);
    if (tackle.reach(tackle.lures.length - 1, CAST) < fish.band.bottom - 0.3048) continue;
    made++;
    yield {
      word,
      seed,
      bottom: known,
      soundings: simulateSurvey(known, { ...survey, seed: seed + 7 }),
      fish,
    };
  }
}

/** Returns the fish at a mark with a depth, m. */
const fishOn = (depth: number, isStated: boolean): Fish =>
  fishAt(NO_GRID, bandAbout(depth), isStated, depth, 0);

function bandAbout(depth: number): DepthRange {
  const allowance = Math.min(ALLOWANCE, SHALLOW_SHARE * depth);
  return { top: depth - allowance, bottom: depth + allowance };
}

const NONE = new Float64Array(0);
const NO_GRID = { size: 0, cellSize: 1, depth: NONE, sd: NONE, supported: new Uint8Array(0), range: 1 };

export interface PlannedMark {
  readonly downslope?: CastPlan;
  readonly upslope?: CastPlan;
  readonly codes: readonly string[];
}

/** Plans casts for the fish at a mark on a bottom model. */
export function planMark(
  model: BottomModel,
  { stated }: Partial<Pick<Fish, 'stated'>>,
  earlier?: EarlierCasts,
): PlannedMark {
  const codes: string[] = [];
  const band = stated ?? bandAbout(model.depth);
  const fields = {
    bottom: model,
    fish_top: band.top,
    fish_bottom: band.bottom,
    fish_source: stated === undefined ? 'depth' : 'note',
    earlier,
  };
  const options = { units: 'ft', draft: DRAFT, line: '12', cast: CAST, hazards: [] };
  const context = {
    report: ({ code }: { code: string }) => codes.push(code),
    progress: () => {},
    isWanted: () => true,
  };
  const input = { waypoint: {}, waypoints: [], fields };
  const { downslope, upslope } = castPlugin.run(input as never, options as never, context);
  return { downslope, upslope, codes };
}

/** Plans casts from soundings. @returns Undefined if there are too few soundings for a bottom model. */
export function planSounded(soundings: LocalSoundings, fish: Fish): PlannedMark | undefined {
  const model = modelBottom(soundings, 45, -93);
  return model.grid === undefined ? undefined : planMark(model, fish);
}
