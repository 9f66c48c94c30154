import { random } from '../../fixtures/lakes/random.ts';
import type { LocalSoundings } from '../../fixtures/lakes/survey.ts';
import type { CastPlan } from '../../shared/contract/cast-plan.ts';
import { turnBetween } from '../../shared/retrieve/cast-rules.ts';
import { TURNED } from '../../shared/retrieve/earlier-cast.ts';
import { rankCasts } from '../../shared/retrieve/spot-score.ts';
import { type CastMark, type CastScenario, castMarks, planSounded } from './cast-marks.ts';

/** A change to the survey, and the function that converts bearings of casts back to the original survey. */
export interface Disturbance {
  readonly name: string;
  readonly soundings: (all: LocalSoundings, seed: number) => LocalSoundings;
  readonly bearing: (there: number) => number;
}

const same = (bearing: number): number => bearing;
const moved = (
  all: LocalSoundings,
  place: (east: number, north: number) => readonly [number, number],
): LocalSoundings => {
  const places = Array.from(all.east, (east, i) => place(east, all.north[i]));
  return {
    ...all,
    east: Float64Array.from(places, ([e]) => e),
    north: Float64Array.from(places, ([, n]) => n),
  };
};

export const DISTURBANCES: readonly Disturbance[] = [
  {
    name: '5 cm of noise on the fixes',
    soundings: (all, seed) => {
      const source = random(seed);
      return moved(all, (east, north) => [east + 0.05 * source.normal(), north + 0.05 * source.normal()]);
    },
    bearing: same,
  },
  {
    name: '2 % of the soundings dropped',
    soundings: (all, seed) => {
      const source = random(seed);
      const kept = Array.from(all.east.keys()).filter(() => source.next() >= 0.02);
      const take = (column: ArrayLike<number>): Float64Array => Float64Array.from(kept, (i) => column[i]);
      return {
        count: kept.length,
        east: take(all.east),
        north: take(all.north),
        depth: take(all.depth),
        pass: Int32Array.from(kept, (i) => all.pass[i]),
        time: take(all.time),
      };
    },
    bearing: same,
  },
  {
    name: 'mirrored, east to west',
    soundings: (all) => moved(all, (east, north) => [-east, north]),
    bearing: (there) => (360 - there) % 360,
  },
  {
    name: 'turned by 90 deg',
    soundings: (all) => moved(all, (east, north) => [north, -east]),
    bearing: (there) => (there + 270) % 360,
  },
];

/** Change of a first cast after a disturbance. */
export interface Turn {
  readonly mark: CastMark;
  /** Angle between the two casts, deg, [0, 180]. */
  readonly turn: number;
  /** True if either run reports that another side is just as good. */
  readonly isSaid: boolean;
  readonly plans: readonly [CastPlan, CastPlan];
}

/** Compares the first casts of some marks with those after a disturbance. */
export function turnsOf(marks: readonly CastMark[], { soundings, bearing }: Disturbance): Turn[] {
  return marks.flatMap((mark) => {
    const before = firstCast(mark);
    const after = firstCast({ ...mark, soundings: soundings(mark.soundings, mark.seed) });
    if (before === undefined || after === undefined) return [];
    const isSaid = before.equalBearing !== undefined || after.equalBearing !== undefined;
    const plans = [before, after] as const;
    return [{ mark, turn: turnBetween(before.bearing, bearing(after.bearing)), isSaid, plans }];
  });
}

function firstCast({ soundings, fish }: CastMark): CastPlan | undefined {
  const planned = planSounded(soundings, fish);
  return planned && rankCasts(planned)[0];
}

const MARKS = 120;

/**
 * Prints how many first casts turn under a disturbance (the goal is under 3 %), and how many of these turn
 * without the message that another side is just as good.
 */
export function printStability(scenario: CastScenario, print: (line: string) => void): void {
  const marks = [...castMarks(scenario, MARKS)];
  print(`stability, ${scenario.name}: ${MARKS} marks`);
  for (const disturbance of DISTURBANCES) {
    const turns = turnsOf(marks, disturbance);
    const turned = turns.filter(({ turn }) => turn > TURNED);
    const equal = turns.filter(({ plans }) => plans[0].equalBearing !== undefined);
    print(
      `  ${disturbance.name}: first cast turned by more than ${TURNED} deg ${(turned.length / turns.length).toFixed(3)} (${turned.length} of ${turns.length});` +
        ` of these without an equal side reported ${turned.filter(({ isSaid }) => !isSaid).length}; equal side reported for ${(equal.length / turns.length).toFixed(2)}`,
    );
  }
}
