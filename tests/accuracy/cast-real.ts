import { execFileSync } from 'node:child_process';
import { existsSync, mkdtempSync, readdirSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { LocalSoundings } from '../../shared/bottom/blocks.ts';
import { modelBottom } from '../../shared/bottom/model-bottom.ts';
import { SURFACE_RADIUS } from '../../shared/bottom/surface.ts';
import { localFrame } from '../../shared/geo/local-frame.ts';
import { planMark } from './cast-marks.ts';

/** A jump on the track that starts another pass, m. */
const PASS_GAP = 20;

/**
 * Share of marks on real bottoms that get a position, with nothing known of the depth of their fish.
 *
 * Sea floor by way of a laboratory model, lidar of a flood plain and a valley, and a volcano, flooded, with simulated
 * passes 25 m apart; sources in the README of the archive.
 */
export function printRealBottoms(archive: string, print: (line: string) => void): void {
  if (!existsSync(archive)) {
    print(`real bottoms: ${archive} is not there, left out`);
    return;
  }
  const folder = mkdtempSync(join(tmpdir(), 'real-bottoms-'));
  try {
    execFileSync('tar', ['xJf', archive, '-C', folder]);
    const root = join(folder, 'real-bottoms');
    const scenes = readdirSync(root, { withFileTypes: true }).filter((entry) => entry.isDirectory());
    const all = { marks: 0, short: 0, given: 0, deep: 0 };
    for (const { name } of scenes) {
      const one = countGiven(join(root, name));
      for (const key of Object.keys(all) as (keyof typeof all)[]) all[key] += one[key];
      print(`  ${name}: ${shares(one)}`);
    }
    print(`real bottoms, ${scenes.length} scenes: ${shares(all)}`);
  } finally {
    rmSync(folder, { recursive: true });
  }
}

interface Counts {
  readonly marks: number;
  /** Marks without a position because no lure gets down to their fish, which is said. */
  readonly short: number;
  readonly given: number;
  readonly deep: number;
}

const shares = ({ marks, short, given, deep }: Counts): string =>
  `${marks} marks, with a position ${(given / marks).toFixed(3)}, from the deep side ${(deep / marks).toFixed(3)};` +
  ` too deep for any lure ${(short / marks).toFixed(3)}, with a position of the rest ${(given / (marks - short)).toFixed(3)}`;

function countGiven(scene: string): Counts {
  const rows = readFileSync(join(scene, 'soundings.csv'), 'utf8')
    .trim()
    .split('\n')
    .slice(1)
    .map((row) => row.split(',').map(Number));
  const places = [
    ...readFileSync(join(scene, 'waypoints.gpx'), 'utf8').matchAll(/lat="([^"]+)" lon="([^"]+)"/g),
  ];
  const counts = { marks: places.length, short: 0, given: 0, deep: 0 };
  for (const [, lat, lon] of places) {
    const model = modelBottom(soundingsNear(rows, Number(lat), Number(lon)), Number(lat), Number(lon));
    if (model.grid === undefined) continue;
    const { downslope, upslope, codes } = planMark(model, {});
    if (downslope !== undefined || upslope !== undefined) counts.given++;
    else if (codes.includes('cast/lure-short')) counts.short++;
    if (downslope?.kind === 'downslope') counts.deep++;
  }
  return counts;
}

/** Soundings round a mark in meters from it, a new pass at each jump of the track. */
function soundingsNear(rows: readonly (readonly number[])[], lat: number, lon: number): LocalSoundings {
  const frame = localFrame(lat, lon);
  const kept: { east: number; north: number; depth: number; pass: number }[] = [];
  let pass = 0;
  let last: readonly [number, number] | undefined;
  for (const [rowLat, rowLon, depth] of rows) {
    const here = frame.toLocal(rowLat, rowLon);
    if (last !== undefined && Math.hypot(here[0] - last[0], here[1] - last[1]) > PASS_GAP) pass++;
    last = here;
    if (Math.hypot(...here) < SURFACE_RADIUS) kept.push({ east: here[0], north: here[1], depth, pass });
  }
  return {
    count: kept.length,
    east: kept.map(({ east }) => east),
    north: kept.map(({ north }) => north),
    depth: kept.map(({ depth }) => depth),
    pass: kept.map((one) => one.pass),
  };
}
