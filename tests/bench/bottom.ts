import { type KnownBottom, makeBottom, STRUCTURE_WORDS } from '../../fixtures/lakes/bottom.ts';
import { type LocalSoundings, simulateSurvey } from '../../fixtures/lakes/survey.ts';
import { modelBottom } from '../../shared/bottom/model-bottom.ts';
import { findStructure } from '../../shared/structure/structure.ts';
import type { Section } from '../sections.ts';

const MARKS = 120;
const ROUNDS = 5;

/** Measures the CPU time of bottom, slope and structure word of one waypoint. */
export const section: Section = {
  name: 'bottom',
  run(print) {
    for (const [spacing, step, limit] of [
      [25, 3, ' (goal at most 8)'],
      [25, 0.5, ''],
      [15, 3, ''],
      [40, 3, ''],
      [60, 3, ''],
    ] as const) {
      const surveys = makeSurveys(spacing, step);
      const whole = best(surveys, (soundings) => findStructure(modelBottom(soundings, 0, 0)));
      print(
        `passes ${spacing} m apart, soundings every ${step} m: ${whole.toFixed(2)} ms per waypoint${limit}`,
      );
    }
    printBent(print);
    printMemory(print);
  },
};

/** A bottom of waves 25 m long, whose slope changes everywhere. */
const WAVES: KnownBottom = {
  depth: (east, north) => 12 + 2 * Math.sin(east / 4) + 2 * Math.sin(north / 4),
};

function printBent(print: (line: string) => void): void {
  const surveys = Array.from({ length: MARKS / 4 }, (_, i) =>
    simulateSurvey(WAVES, { seed: i, spacing: 20, step: 1, radius: 118 }),
  );
  const whole = best(surveys, (soundings) => findStructure(modelBottom(soundings, 0, 0)));
  print(`bottom of short waves, passes 20 m apart: ${whole.toFixed(1)} ms per waypoint`);
}

function makeSurveys(spacing: number, step: number): LocalSoundings[] {
  return Array.from({ length: MARKS }, (_, i) =>
    simulateSurvey(makeBottom(STRUCTURE_WORDS[i % STRUCTURE_WORDS.length], { seed: 880_000 + i }), {
      seed: i,
      spacing,
      step,
      radius: 118,
    }),
  );
}

/** Returns the lowest mean CPU time per call of the rounds, ms, after a warm-up round. */
function best(surveys: readonly LocalSoundings[], call: (soundings: LocalSoundings) => unknown): number {
  let least = Number.POSITIVE_INFINITY;
  for (let round = 0; round <= ROUNDS; round++) {
    const start = process.cpuUsage();
    for (const soundings of surveys) call(soundings);
    const { user, system } = process.cpuUsage(start);
    if (round > 0) least = Math.min(least, (user + system) / 1000 / surveys.length);
  }
  return least;
}

/** Prints the heap retained after many waypoints; meaningful only with `--expose-gc`. */
function printMemory(print: (line: string) => void): void {
  const [survey] = makeSurveys(25, 3);
  const collect = (globalThis as { gc?: () => void }).gc;
  if (collect === undefined) return;
  const heapAfter = (calls: number): number => {
    for (let i = 0; i < calls; i++) modelBottom(survey, 0, 0);
    collect();
    return process.memoryUsage().heapUsed / 2 ** 20;
  };
  print(
    `heap after 200 and after 1200 waypoints: ${heapAfter(200).toFixed(1)}, ${heapAfter(1000).toFixed(1)} MiB`,
  );
}
