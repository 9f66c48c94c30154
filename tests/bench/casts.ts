import { makeBottom, STRUCTURE_WORDS } from '../../fixtures/lakes/bottom.ts';
import { simulateSurvey } from '../../fixtures/lakes/survey.ts';
import { cast } from '../../plugins/cast.ts';
import { nextAngles } from '../../plugins/next-angles.ts';
import { modelBottom } from '../../shared/bottom/model-bottom.ts';
import type { BottomModel } from '../../shared/contract/bottom-model.ts';
import { parseLine } from '../../shared/retrieve/line.ts';
import { dragOfLabel } from '../../shared/retrieve/lures.ts';
import { simulateRetrieve } from '../../shared/retrieve/retrieve.ts';
import { USUAL_HANDLING } from '../../shared/retrieve/rig.ts';
import { scratch } from '../../shared/retrieve/scratch.ts';
import { profileOf } from '../retrieve/path-measures.ts';
import type { Section } from '../sections.ts';

const RETRIEVES = 20_000;
const MARKS = 96;
const ROUNDS = 3;

/** Measures the CPU time of one retrieve, and of the cast and next angles of a waypoint. */
export const section: Section = {
  name: 'casts',
  run(print) {
    benchRetrieve(print);
    benchPlans(print);
  },
};

function benchRetrieve(print: (line: string) => void): void {
  const { path, work } = scratch(60);
  const line = parseLine('12');
  if (line === undefined) throw new Error('no line');
  const setup = { cast: 50, line, lure: dragOfLabel(16), handling: USUAL_HANDLING };
  const bottom = profileOf((x) => 3 + 0.05 * (50 - x), 60);
  for (const [name, ground] of [
    ['in deep water', undefined],
    ['over bottom', bottom],
  ] as const) {
    const run = () => {
      for (let i = 0; i < RETRIEVES; i++) simulateRetrieve(setup, ground, 0.5, path, work);
    };
    run();
    print(`retrieve of 50 m ${name}: ${((1000 * cpuOf(run)) / RETRIEVES).toFixed(1)} us (goal at most 25)`);
  }
}

/** Prints the time of cast and next angles at marks on every structure, with passes 25 m apart. */
function benchPlans(print: (line: string) => void): void {
  const models: BottomModel[] = [];
  for (let seed = 0; models.length < MARKS; seed++) {
    const bottom = makeBottom(STRUCTURE_WORDS[seed % STRUCTURE_WORDS.length], { seed: 500 + seed });
    const model = modelBottom(simulateSurvey(bottom, { seed, spacing: 25 }), 45, -93);
    if (model.grid !== undefined) models.push(model);
  }
  // The fastest round counts, because garbage collection for other work is not part of planning.
  for (const model of models) planOne(model);
  const times = models.map((model) =>
    Math.min(...Array.from({ length: ROUNDS }, () => cpuOf(() => planOne(model)))),
  );
  times.sort((a, b) => a - b);
  const mean = times.reduce((sum, time) => sum + time, 0) / times.length;
  const at = (share: number): string => times[Math.floor(share * (times.length - 1))].toFixed(1);
  print(
    `cast and next angles of a waypoint: mean ${mean.toFixed(1)} ms (goal at most 10), median ${at(0.5)}, p95 ${at(0.95)}, maximum ${at(1)}`,
  );
}

/** One object for all marks, as in a run. */
const options = { units: 'ft', draft: 0.9144, line: '12', cast: 45.72, hazards: [] };

function planOne(model: BottomModel): void {
  const allowance = Math.min(0.9144, 0.25 * model.depth);
  // The grid is a fresh object, so that nothing cached in another round is reused.
  const fields = {
    bottom: { ...model, grid: model.grid && { ...model.grid } },
    fish_top: model.depth - allowance,
    fish_bottom: model.depth + allowance,
    fish_source: 'depth',
  };
  const context = { report: () => {}, progress: () => {}, isWanted: () => true };
  const base = { waypoint: {}, waypoints: [] };
  const found = cast.run({ ...base, fields } as never, options as never, context);
  nextAngles.run({ ...base, fields: { ...fields, ...found } } as never, options as never, context);
}

/** Measures the CPU time of a function, ms. */
function cpuOf(work: () => void): number {
  const before = process.cpuUsage();
  work();
  const { user, system } = process.cpuUsage(before);
  return (user + system) / 1000;
}
