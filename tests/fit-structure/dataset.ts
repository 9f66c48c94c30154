import {
  type BottomOptions,
  type KnownBottom,
  makeBottom,
  STRUCTURE_WORDS,
} from '../../fixtures/lakes/bottom.ts';
import { makeMixedGround } from '../../fixtures/lakes/mixed-ground.ts';
import type { Family } from '../../fixtures/lakes/profiles.ts';
import { type Random, random } from '../../fixtures/lakes/random.ts';
import {
  type LocalSoundings,
  type SurveyOptions,
  simulateSurvey,
  toSoundings,
} from '../../fixtures/lakes/survey.ts';
import { SURFACE_RADIUS } from '../../shared/bottom/blocked-soundings.ts';
import { modelBottom } from '../../shared/bottom/model-bottom.ts';
import type { LakeBottom } from '../../shared/contract/lake-bottom.ts';
import { localFrame } from '../../shared/geo/local-frame.ts';
import { lakeBottom } from '../../shared/lake/lake-bottom.ts';
import { LAKE_GRID, makeLakeGrid } from '../../shared/lake/lake-grid.ts';
import type { StructureFeatures } from '../../shared/structure/features/features.ts';
import { featuresOfModel, featuresOnLake, LOOKS } from '../../shared/structure/structure-features.ts';

/** Features of many simulated places. */
export interface Dataset {
  readonly features: Float64Array[];
  /** Index of the true word; undefined if unknown. */
  readonly words: (number | undefined)[];
  /** Pairs of rows of one place from two surveys, the second of them turned by 45 degrees. */
  readonly pairs: [number, number][];
}

/** Draws the parameters of a mark: its bottom and its survey. */
export type Recipe = (random: Random) => {
  readonly bottom: Omit<BottomOptions, 'seed' | 'family'>;
  readonly survey: Omit<SurveyOptions, 'seed'>;
};

/**
 * Draws from the full range that the table should cover: passes 15 to 65 m apart, quiet and noisy sonar,
 * rough and smooth bottoms.
 */
export const trainingRecipe: Recipe = (random) => ({
  bottom: {
    roughness: random.next() < 0.35 ? random.range(0.08, 0.28) : undefined,
    second: random.next() < 0.3 ? [68, 115] : undefined,
    relief: random.next() < 0.3 ? random.logRange(0.2, 1) : random.range(0.9, 1.3),
  },
  survey: { ...surveyErrors(random), spacing: random.logRange(15, 65) },
});

const surveyErrors = (random: Random): Omit<SurveyOptions, 'seed' | 'spacing'> => ({
  noise: random.range(0.05, 0.18),
  offset: random.range(0.4, 2.3),
  bias: random.range(0.02, 0.1),
  lag: random.next() < 0.3 ? random.range(0, 2) : 0,
  wander: random.range(0.3, 2.5),
  step: random.pick([1.5, 2.5, 3, 3]),
});

const emptySet = (): Dataset => ({ features: [], words: [], pairs: [] });

/** Row indices of a place in one survey: as the place lies, and turned by 45 degrees. */
type Seen = readonly [plain: number, turned: number];
const TWO_LOOKS = [LOOKS[0], LOOKS[2]];

function addSeen({ features, words }: Dataset, seen: readonly StructureFeatures[], word?: number): Seen {
  const first = features.push(seen[0].values, seen[1].values) - 2;
  words.push(word, word);
  return [first, first + 1];
}

function addPair({ pairs }: Dataset, a: Seen | undefined, b: Seen | undefined): void {
  if (a !== undefined && b !== undefined) pairs.push([a[0], b[1]], [b[0], a[1]]);
}

/** A place in meters from the middle of a survey. */
type Place = readonly [east: number, north: number];

/** Local frame of the simulated lakes. */
const FRAME = localFrame(37, -86);
/** Half width of the bottom around a mark, m: farther than the corner of the grid that words look at. */
const AROUND = 150;

/**
 * Makes marks with known words: for each word, `known` marks on the true bottom and `surveyed` marks as two
 * surveys show them on the lake and on the mark's own grid.
 */
export function makeMarks(family: Family, known: number, surveyed: number, seed: number): Dataset {
  const source = random(seed);
  const data = emptySet();
  for (let k = 0; k < known + surveyed; k++)
    STRUCTURE_WORDS.forEach((word, w) => {
      const { bottom: options } = trainingRecipe(source);
      const bottom = makeBottom(word, { ...options, family, seed: seed * 1_000_003 + k * 12 + w });
      if (k < known) {
        addSeen(data, onLake(trueLake(bottom), [0, 0])!, w);
        return;
      }
      const [one, other] = [0, 1].map(() => {
        const { survey } = trainingRecipe(source);
        const soundings = simulateSurvey(bottom, { ...survey, radius: AROUND, seed: seedFrom(source) });
        return [onLake(sounded(soundings), [0, 0]), ofMark(soundings, [0, 0])].map(
          (seen) => seen && addSeen(data, seen, w),
        );
      });
      one.forEach((seen, from) => {
        addPair(data, seen, other[from]);
      });
    });
  return data;
}

/** Makes marks for judging, as one survey shows them on their own grid. */
export function makeJudged(family: Family, recipe: Recipe, perWord: number, seed: number): Dataset {
  const source = random(seed);
  const data = emptySet();
  for (let k = 0; k < perWord; k++)
    STRUCTURE_WORDS.forEach((word, w) => {
      const { bottom: options, survey } = recipe(source);
      const bottom = makeBottom(word, { ...options, family, seed: seed * 1_000_003 + k * 12 + w });
      const soundings = simulateSurvey(bottom, { radius: 122, ...survey, seed: seedFrom(source) });
      const seen = featuresOfModel(modelBottom(soundings, 0, 0), TWO_LOOKS);
      if (seen === undefined) return;
      data.features.push(seen[0].values);
      data.words.push(w);
    });
  return data;
}

/** Radius of the surveyed part of a mixed ground, m. */
const GROUND_RADIUS = 340;
/** Number of places on each mixed ground. */
const PLACES = 40;
/** Number of these places that also get their own grid. */
const OWN = 10;
/** Survey with passes so close that the bottom is fully known. */
const DENSE = { spacing: 8, jitter: 0, noise: 0.02, bias: 0, offset: 0, wander: 0 };

/**
 * Makes places on mixed ground, where words are unknown, as four surveys show them: dense passes, uneven
 * passes 25 m apart, the latter turned by 30 degrees, and uneven passes 15 to 45 m apart.
 */
export function makeMixed(grounds: number, seed: number): Dataset {
  const data = emptySet();
  for (let k = 0; k < grounds; k++) {
    const source = random(seed + k);
    const ground = makeMixedGround(source);
    const survey = (options: Omit<SurveyOptions, 'seed'>): LocalSoundings =>
      simulateSurvey(ground, { ...options, radius: GROUND_RADIUS, seed: seedFrom(source) });
    const loose = (spacing: number): LocalSoundings =>
      survey({
        ...surveyErrors(source),
        spacing,
        jitter: source.range(0.05, 0.3),
        wander: source.range(0.3, 8),
      });
    const places = Array.from({ length: PLACES }, (_, at) => pickPlace(ground, at % 4 === 0 ? 1 : 5, source));
    const sparse = loose(25);
    const views = [survey(DENSE), sparse, loose(source.logRange(15, 45)), turned(sparse)].map(
      (soundings, view): (Seen | undefined)[] => {
        const at = places.map((place) => (view === 3 ? turnPlace(place) : place));
        const lake = sounded(soundings);
        return [
          ...at.map((place) => onLake(lake, place)),
          ...at.slice(0, OWN).map((place) => ofMark(soundings, place)),
        ].map((seen) => seen && addSeen(data, seen));
      },
    );
    for (const [a, b] of [
      [0, 1],
      [0, 2],
      [1, 2],
      [1, 3],
    ])
      views[a].forEach((seen, at) => {
        addPair(data, seen, views[b][at]);
      });
  }
  return data;
}

/** Picks, from `of` random places, the one where the bottom bends most within 20 m. */
function pickPlace({ depth }: KnownBottom, of: number, source: Random): Place {
  const bend = ([e, n]: Place): number =>
    Math.max(
      ...Array.from({ length: 8 }, (_, k) => {
        const [de, dn] = [20 * Math.cos((Math.PI * k) / 8), 20 * Math.sin((Math.PI * k) / 8)];
        return Math.abs(depth(e + de, n + dn) + depth(e - de, n - dn) - 2 * depth(e, n));
      }),
    );
  return Array.from({ length: of }, (): Place => {
    const bearing = source.range(0, 2 * Math.PI);
    const distance = (GROUND_RADIUS - 1.1 * SURFACE_RADIUS) * Math.sqrt(source.next());
    return [distance * Math.sin(bearing), distance * Math.cos(bearing)];
  }).reduce((a, b) => (bend(b) > bend(a) ? b : a));
}

const seedFrom = (source: Random): number => Math.floor(source.next() * 2 ** 31);

const [TURN_COS, TURN_SIN] = [Math.cos(Math.PI / 6), Math.sin(Math.PI / 6)];
const turnPlace = ([e, n]: Place): Place => [TURN_COS * e - TURN_SIN * n, TURN_SIN * e + TURN_COS * n];

function turned(soundings: LocalSoundings): LocalSoundings {
  const places = Array.from(soundings.east, (e, k) => turnPlace([e, soundings.north[k]]));
  return {
    ...soundings,
    east: Float64Array.from(places, ([e]) => e),
    north: Float64Array.from(places, ([, n]) => n),
  };
}

/** Makes a lake of the true bottom around the origin. */
function trueLake({ depth }: KnownBottom): LakeBottom {
  const { cell } = LAKE_GRID;
  const columns = (2 * AROUND) / cell + 1;
  const at = (k: number): number => cell * k - AROUND;
  return {
    ...{ lat: FRAME.lat, lon: FRAME.lon, axis: 0, x0: -AROUND, y0: -AROUND, columns, rows: columns, cell },
    ...{ lines: [], areas: [] },
    depth: Float32Array.from({ length: columns * columns }, (_, k) =>
      depth(at(k % columns), at(Math.floor(k / columns))),
    ),
  };
}

/** Models the lake from a survey, with few draws, because words need only the mean. */
const sounded = (soundings: LocalSoundings): LakeBottom =>
  lakeBottom(makeLakeGrid(toSoundings(soundings, FRAME.lat, FRAME.lon), { ...LAKE_GRID, draws: 3 })!, [], []);

/** Returns the features of both looks; undefined if one reaches beyond the known bottom. */
function onLake(lake: LakeBottom, place: Place): StructureFeatures[] | undefined {
  const seen = featuresOnLake(lake, ...FRAME.toGeographic(...place), TWO_LOOKS);
  return seen?.length === TWO_LOOKS.length ? seen : undefined;
}

function ofMark(soundings: LocalSoundings, [east, north]: Place): StructureFeatures[] | undefined {
  const near = [...soundings.east.keys()].filter(
    (k) => Math.hypot(soundings.east[k] - east, soundings.north[k] - north) <= SURFACE_RADIUS,
  );
  const column = (of: Float64Array, zero = 0): Float64Array => Float64Array.from(near, (k) => of[k] - zero);
  const rows = {
    count: near.length,
    east: column(soundings.east, east),
    north: column(soundings.north, north),
    depth: column(soundings.depth),
    time: column(soundings.time),
    pass: Int32Array.from(near, (k) => soundings.pass[k]),
  };
  return featuresOfModel(modelBottom(rows, 0, 0), TWO_LOOKS);
}
