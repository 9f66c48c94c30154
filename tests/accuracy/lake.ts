import { type LakeOptions, makeLake } from '../../fixtures/lakes/lake.ts';
import { simulateSurvey, toSoundings } from '../../fixtures/lakes/survey.ts';
import { LINE_KINDS } from '../../shared/contract/lake-bottom.ts';
import type { Soundings } from '../../shared/contract/soundings.ts';
import { localFrame } from '../../shared/geo/local-frame.ts';
import { atPlace, type LakeGrid, makeLakeGrid } from '../../shared/lake/lake-grid.ts';
import { findLakeLines, type LakeLine, placeOf } from '../../shared/lake/lake-lines.ts';
import { gradient } from '../../shared/lake/raster.ts';
import type { Section } from '../sections.ts';
import { printMoved } from './lake-moved.ts';
import {
  formatCounts,
  type LineCounts,
  type MarkErrors,
  PooledLake,
  rmsOf,
  SMOOTH,
  shareInside,
} from './lake-table.ts';
import { bothWords, KnownWords, ownBottoms, RealWords } from './lake-words.ts';
import { forEachRealScene, type KnownMark, type RealScene } from './real-scenes.ts';
import { type Triangulated, triangulate } from './triangulated.ts';

/** Seeds of the synthetic lakes; none was used to choose a constant of the lake grid. */
const SEEDS = [81_000_000, 82_000_000];
const WORD_SEEDS = [83_000_000, 84_000_000];
/** Maximum distance between a drawn and a true line that count as the same, m. */
const SAME = 10;
/** Share of draws from which a line counts as sure. */
const SURE = 0.8;
/** Distance between places on smooth floors, m. */
const FLOOR_STEP = 30;
/** Local frame at the southwest corner of the synthetic lakes. */
const originFrame = localFrame(37, -86);

type Mark = Pick<KnownMark, 'lat' | 'lon' | 'depth' | 'slope'>;

/** Compares depth, slope, intervals and lines of the lake grid with bottoms that are known everywhere. */
export const section: Section = {
  name: 'lake',
  run(print) {
    for (const seed of SEEDS) printMadeLake(seed, print);
    for (const [name, options, spacing] of KNOWN_WORDS) printKnownWords(name, options, spacing, print);
    printMoved(print);
    const words = new RealWords();
    const pooled = new PooledLake();
    forEachRealScene(print, (scene) => {
      printScene(scene, pooled, print);
      words.add(scene);
    });
    pooled.print(print);
    words.print(print);
  },
};

/** Even and rough lakes from a family of shapes that the table of words was not fitted to. */
const KNOWN_WORDS: readonly (readonly [string, Partial<LakeOptions>, number])[] = [
  ['synthetic lakes of family c', { family: 'c', roughness: 0.02 }, 25],
  ['the same, rough (0.18 m), passes 30 m apart', { family: 'c', roughness: 0.18 }, 30],
];

function printKnownWords(name: string, options: Partial<LakeOptions>, spacing: number, print: Print): void {
  const words = new KnownWords();
  for (const seed of WORD_SEEDS) {
    const lake = makeLake({ ...options, seed, perWord: 4 });
    const center = [lake.width / 2, lake.height / 2] as const;
    const soundings = toSoundings(
      simulateSurvey(lake, { seed, spacing, center, radius: Math.hypot(...center) }),
      originFrame.lat,
      originFrame.lon,
    );
    const places = lake.marks.map(({ east, north }) => originFrame.toGeographic(east, north));
    words.add(
      bothWords(soundings, places),
      lake.marks.map(({ word }) => word),
    );
  }
  words.print(name, print);
}

type Print = (line: string) => void;

function printMadeLake(seed: number, print: Print): void {
  const lake = makeLake({ seed, perWord: 2, roughness: 0.02 });
  const center = [lake.width / 2, lake.height / 2] as const;
  const local = simulateSurvey(lake, { seed, spacing: 25, center, radius: Math.hypot(...center) });
  const soundings = toSoundings(local, 37, -86);
  const grid = makeLakeGrid(soundings);
  if (grid === undefined) return;
  const marks = lake.marks.map(({ east, north }): Mark => {
    const [lat, lon] = originFrame.toGeographic(east, north);
    const slope = Math.hypot(
      (lake.depth(east + 2, north) - lake.depth(east - 2, north)) / 4,
      (lake.depth(east, north + 2) - lake.depth(east, north - 2)) / 4,
    );
    return { lat, lon, depth: lake.depth(east, north), slope: degrees(slope) };
  });
  printGrid(`synthetic lake ${seed}, 25 m`, grid, soundings, marks, print);
  printLines(grid, (lat, lon) => lake.depth(...originFrame.toLocal(lat, lon)), print);
}

function printScene(
  { site, way, soundings, marks, truth: readTruth }: RealScene,
  pooled: PooledLake,
  print: Print,
): void {
  const grid = makeLakeGrid(soundings);
  if (grid === undefined) return;
  const errors = printGrid(`${site}, ${way}`, grid, soundings, marks, print);
  const truth = readTruth();
  const places = truth.map(([lat, lon]) => grid.frame.toLocal(lat, lon));
  const [east, north] = [places.map(([e]) => e), places.map(([, n]) => n)];
  const bottom = triangulate(
    east,
    north,
    truth.map(([, , depth]) => depth),
    25,
  );
  const lines = printLines(grid, (lat, lon) => bottom.at(...grid.frame.toLocal(lat, lon)), print);
  pooled.add(site, way, errors, lines);
  if (!SMOOTH.includes(site)) return;
  const floor = floorPlaces(grid, east, north, bottom);
  pooled.addFloor(way, printGrid(`${site}, ${way}, all of the floor`, grid, soundings, floor, print));
}

/** Returns places every 30 m over the whole bottom where the true slope is known. */
function floorPlaces(grid: LakeGrid, east: number[], north: number[], bottom: Triangulated): Mark[] {
  const [[west, easternmost], [south, northernmost]] = [east, north].map((of) => [
    of.reduce((least, value) => Math.min(least, value)),
    of.reduce((most, value) => Math.max(most, value)),
  ]);
  const places: Mark[] = [];
  for (let e = west; e <= easternmost; e += FLOOR_STEP)
    for (let n = south; n <= northernmost; n += FLOOR_STEP) {
      const slope = slopeOf(bottom, e, n);
      const [lat, lon] = grid.frame.toGeographic(e, n);
      if (!Number.isNaN(slope)) places.push({ lat, lon, depth: bottom.at(e, n), slope });
    }
  return places;
}

/** Returns the slope over 10 m, deg. */
const slopeOf = ({ at }: Triangulated, e: number, n: number): number =>
  degrees(Math.hypot((at(e + 5, n) - at(e - 5, n)) / 10, (at(e, n + 5) - at(e, n - 5)) / 10));

/**
 * Prints and returns errors at marks on the grid: of the grid, of each mark's own bottom and of a
 * triangulation.
 */
function printGrid(
  name: string,
  grid: LakeGrid,
  soundings: Soundings,
  marks: readonly Mark[],
  print: Print,
): MarkErrors[] {
  const [gx, gy] = gradient(grid, grid.depth);
  const places = Array.from({ length: soundings.count }, (_, k) =>
    grid.frame.toLocal(soundings.lat[k], soundings.lon[k]),
  );
  const peer = triangulate(
    places.map(([e]) => e),
    places.map(([, n]) => n),
    soundings.depth,
    80,
  );
  const own = ownBottoms(
    soundings,
    marks.map(({ lat, lon }) => [lat, lon]),
  );
  const rows = marks.flatMap((mark, k): MarkErrors[] => {
    const depth = atPlace(grid, grid.depth, mark.lat, mark.lon);
    const slope = degrees(
      Math.hypot(atPlace(grid, gx, mark.lat, mark.lon), atPlace(grid, gy, mark.lat, mark.lon)),
    );
    if (Number.isNaN(depth) || Number.isNaN(slope)) return [];
    const at = grid.frame.toLocal(mark.lat, mark.lon);
    const errors = {
      depth: depth - mark.depth,
      slope: slope - mark.slope,
      sd: atPlace(grid, grid.sd, mark.lat, mark.lon),
      ownDepth: own[k].depth - mark.depth,
      ownSlope: (own[k].slope ?? Number.NaN) - mark.slope,
      ownSd: own[k].depthSd,
      peerDepth: peer.at(...at) - mark.depth,
      peerSlope: slopeOf(peer, ...at) - mark.slope,
    };
    return [errors];
  });
  const of = (key: keyof MarkErrors): number => rmsOf(rows, key);
  const share = (error: 'depth' | 'ownDepth', sd: 'sd' | 'ownSd'): string =>
    (100 * shareInside(rows, error, sd)).toFixed(1);
  const far = rows.filter(({ depth, sd }) => Math.abs(depth) > 10 * sd).length;
  print(
    `${name}: ${rows.length} of ${marks.length} marks; RMSE of depth ${of('depth').toFixed(3)} m, of slope ${of('slope').toFixed(2)} deg (the mark's own bottom ${of('ownDepth').toFixed(3)}, ${of('ownSlope').toFixed(2)}; triangulation ${of('peerDepth').toFixed(3)}, ${of('peerSlope').toFixed(2)}); in the 95 % interval ${share('depth', 'sd')} % (own ${share('ownDepth', 'ownSd')} %), beyond 10 sd ${far}`,
  );
  return rows;
}

/**
 * Prints, by length, the share of drawn lines within 10 m of a true line and of true lines within 10 m of a
 * drawn line.
 *
 * Drawn and true lines are found in the same way on the same area: the modeled bottom is cut where the true
 * bottom ends. Otherwise depths beyond the rim would give drawn lines that no true line can match.
 */
function printLines(
  grid: LakeGrid,
  depthAt: (lat: number, lon: number) => number,
  print: Print,
): LineCounts[] {
  const depth = grid.depth.map((known, k) =>
    Number.isNaN(known) ? known : depthAt(...placeOf(grid, k % grid.columns, Math.floor(k / grid.columns))),
  );
  const onTruth = (values: Float32Array): Float32Array =>
    values.map((value, k) => (Number.isNaN(depth[k]) ? Number.NaN : value));
  const found = findLakeLines({ ...grid, depth: onTruth(grid.depth), draws: grid.draws.map(onTruth) });
  const truth = findLakeLines({ ...grid, depth, draws: [] });
  const counts = LINE_KINDS.map((kind): LineCounts => {
    const of = (lines: readonly LakeLine[], least = 0): Point[] =>
      pointsOf(
        grid,
        lines.filter((line) => line.kind === kind && line.sure >= least),
      );
    const [drawn, sure, real] = [of(found), of(found, SURE), of(truth)];
    return {
      kind,
      drawn: drawn.length,
      right: countNear(drawn, real),
      sure: sure.length,
      sureRight: countNear(sure, real),
      real: real.length,
      found: countNear(real, drawn),
    };
  });
  print(`    lines drawn right / found: ${counts.map((count) => formatCounts(count)).join('; ')}`);
  return counts;
}

type Point = readonly [number, number];

/** Returns points along lines, one cell apart, in m in the frame of the grid. */
const pointsOf = (grid: LakeGrid, lines: readonly LakeLine[]): Point[] =>
  lines.flatMap(({ places }) => places.map(([lat, lon]) => grid.frame.toLocal(lat, lon)));

const countNear = (points: readonly Point[], others: readonly Point[]): number =>
  points.filter(([x, y]) => others.some(([ox, oy]) => Math.hypot(ox - x, oy - y) <= SAME)).length;

const degrees = (gradient: number): number => (Math.atan(gradient) * 180) / Math.PI;
