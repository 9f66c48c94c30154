import { random } from '../../fixtures/lakes/random.ts';
import { type LocalSoundings, type SurveyOptions, simulateSurvey } from '../../fixtures/lakes/survey.ts';
import type { FloodedTerrain } from '../../fixtures/lakes/terrain.ts';
import { modelBottom } from '../../shared/bottom/model-bottom.ts';
import { STRUCTURE_WORDS } from '../../shared/contract/bottom-model.ts';
import { findStructure } from '../../shared/structure/structure.ts';
import { type Answer, answerOf, Errors } from './bottom-errors.ts';
import { type KnownMark, type Truth, truthAt } from './bottom-marks.ts';
import { horn, OTHER_METHODS } from './other-methods.ts';

/** Number of marks in one row of the table. */
const MARKS = 400;
/**
 * Number of marks for each heading of the passes and each of several seeds: a few steep marks would dominate
 * 400.
 */
const ARRANGED_MARKS = 400;
const ARRANGED_SEEDS = [7_000_000, 7_100_000, 7_200_000, 7_300_000];
/** Headings of the passes, deg; undefined for a random heading. */
const HEADINGS = [
  ['any direction', undefined],
  ['east-west', 90],
  ['north-south', 0],
] as const;
/** Minimum distance of marks from the edge of the terrain, m. */
const MARGIN = 20;
/** Minimum depth of a mark, m. */
const MIN_DEPTH = 1.5;
/** Minimum depth of a sounding, m. */
const MIN_SOUNDING = 0.5;
/** Maximum number of positions tried for marks. */
const MAX_TRIES = 5000;

const COMPARED = ['robust quadratic, R = 1.5 S', 'plain process, pass errors', 'triangulation, Horn'];

/** Flooded real terrain and the survey of it. */
export interface TerrainScenario {
  readonly name: string;
  readonly terrain: FloodedTerrain;
  readonly survey: Omit<SurveyOptions, 'seed' | 'center' | 'radius'>;
  /** Cell size of Horn's slope, which is the true slope, m; when absent, the true slope is taken over 1 m. */
  readonly cell?: number;
}

type Print = (line: string) => void;

/**
 * Prints errors, those of other methods, and words at marks throughout the flooded part of a real terrain.
 */
export function printTerrain(scenario: TerrainScenario, seed: number, print: Print): void {
  const errors = new Errors();
  const others = COMPARED.map((method) => ({ method, errors: new Errors() }));
  const words = new Map<string, number>();
  let steepness = 0;
  for (const { truth, soundings } of terrainMarks(scenario, seed)) {
    if (errors.count === MARKS) break;
    const model = modelBottom(soundings, 0, 0);
    const answer = answerOf(model);
    if (answer === undefined) continue;
    errors.add(answer, truth);
    steepness += truth.slope;
    for (const other of others) {
      const found = OTHER_METHODS[other.method](soundings);
      if (found !== undefined) other.errors.add(found, truth);
    }
    const found = findStructure(model);
    const word = found === undefined ? model.status : found.word;
    words.set(word, (words.get(word) ?? 0) + 1);
  }
  print(
    `${scenario.name}: ${errors.count} marks, mean slope ${(steepness / errors.count).toFixed(1)} deg\n    ${errors.summary()}\n    ${errors.coverage()}`,
  );
  for (const other of others) print(`    ${other.method}: ${other.errors.summary()}`);
  const counted = [...STRUCTURE_WORDS, 'sparse', 'edge'].filter((word) => words.has(word));
  print(`    ${counted.map((word) => `${word} ${words.get(word)}`).join(', ')}`);
}

/**
 * Prints errors on a terrain under passes with random and with two fixed headings, with other methods at the
 * same marks.
 *
 * A gully parallel to the passes can lie hidden between two of them, while one across them shows on each.
 * Figures for different layouts are therefore not comparable.
 */
export function printHeadings(scenario: TerrainScenario, print: Print): void {
  for (const [name, heading] of HEADINGS) {
    const arranged = { ...scenario, survey: { ...scenario.survey, heading } };
    const all = ['this project', ...COMPARED].map((method) => ({ method, errors: new Errors() }));
    let steepness = 0;
    for (const seed of ARRANGED_SEEDS) {
      let marks = 0;
      for (const { truth, soundings } of terrainMarks(arranged, seed)) {
        if (marks === ARRANGED_MARKS) break;
        const answers = [
          answerOf(modelBottom(soundings, 0, 0)),
          ...COMPARED.map((method) => OTHER_METHODS[method](soundings)),
        ];
        // Compares only marks for which every method has a result.
        if (!answers.every((answer): answer is Answer => answer !== undefined)) continue;
        for (const [i, answer] of answers.entries()) all[i].errors.add(answer, truth);
        steepness += truth.slope;
        marks++;
      }
    }
    const [own] = all;
    print(
      `${scenario.name}, passes ${name}: ${own.errors.count} marks of ${ARRANGED_SEEDS.length} seeds, mean slope ${(steepness / own.errors.count).toFixed(1)} deg`,
    );
    for (const { method, errors } of all)
      print(
        `    ${method.padEnd(28)} ${errors.summary()}; standard error of slope RMSE ${errors.slopeRmseSe.toFixed(2)}`,
      );
    print(`    ${own.errors.coverage()}`);
  }
}

/**
 * Generates marks throughout the flooded part of a terrain, each with the soundings around it, in m from the
 * mark.
 */
function* terrainMarks({ terrain, survey, cell }: TerrainScenario, seed: number): Generator<KnownMark> {
  const source = random(seed);
  for (let k = 0; k < MAX_TRIES; k++) {
    const center = [
      source.range(MARGIN, terrain.width - MARGIN),
      source.range(MARGIN, terrain.height - MARGIN),
    ] as const;
    const truth = cell === undefined ? truthAt(terrain, ...center) : hornTruth(terrain, center, cell);
    if (truth.depth < MIN_DEPTH) continue;
    const all = simulateSurvey(terrain, { ...survey, seed: seed + k, center, radius: 122 });
    yield { truth, soundings: wetOnly(all, terrain, center) };
  }
}

/**
 * Returns the truth on gridded terrain, with Horn's slope at the grid spacing instead of that of the
 * interpolation.
 */
function hornTruth(terrain: FloodedTerrain, [east, north]: readonly [number, number], cell: number): Truth {
  const window = [1, 0, -1].flatMap((n) =>
    [-1, 0, 1].map((e) => terrain.depth(east + e * cell, north + n * cell)),
  );
  const [gradientEast, gradientNorth] = horn(window, cell);
  return {
    depth: window[4],
    slope: (Math.atan(Math.hypot(gradientEast, gradientNorth)) * 180) / Math.PI,
    aspect: ((Math.atan2(gradientEast, gradientNorth) * 180) / Math.PI + 360) % 360,
  };
}

/** Returns the soundings in the water and inside the terrain, in m from the mark. */
function wetOnly(
  all: LocalSoundings,
  terrain: FloodedTerrain,
  [east0, north0]: readonly [number, number],
): LocalSoundings {
  const rows = Array.from({ length: all.count }, (_, i) => i).filter((i) => {
    const isInside =
      all.east[i] > 0 && all.north[i] > 0 && all.east[i] < terrain.width && all.north[i] < terrain.height;
    return isInside && all.depth[i] > MIN_SOUNDING;
  });
  const take = (column: Float64Array, zero = 0): Float64Array =>
    Float64Array.from(rows, (i) => column[i] - zero);
  return {
    count: rows.length,
    east: take(all.east, east0),
    north: take(all.north, north0),
    depth: take(all.depth),
    pass: Int32Array.from(rows, (i) => all.pass[i]),
    time: take(all.time),
  };
}
