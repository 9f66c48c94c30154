import { execFileSync } from 'node:child_process';
import { existsSync, mkdtempSync, readdirSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join, resolve } from 'node:path';
import type { Soundings } from '../../shared/contract/soundings.ts';
import { splitPasses } from '../../shared/survey/passes.ts';

/**
 * Archive of folders with soundings.csv, waypoints.gpx and truth.json, plus a grid for each site; its README
 * lists the sources.
 */
const ARCHIVE = '../shared/data/real-bottoms.tar.xz';

/** Default options of the `passes` plugin: gap, m, pause, s, and turn, deg. */
export const PASS_RULES = { gap: 20, pause: 30, turn: 100 };

/** A mark where the true bottom is known. */
export interface KnownMark {
  readonly name: string;
  readonly lat: number;
  readonly lon: number;
  /** Lip, foot, crest, low, hump or random. */
  readonly cls: string;
  /** m. */
  readonly depth: number;
  /** deg. */
  readonly slope: number;
  readonly aspect: number;
}

/**
 * Simulated passes over a real bottom: the sea floor of a laboratory model, or flooded terrain.
 */
export interface RealScene {
  readonly site: string;
  /** Layout of the passes: parallel, contour or zigzag. */
  readonly way: string;
  /** In the order they were recorded. */
  readonly soundings: Soundings;
  readonly marks: readonly KnownMark[];
  /** The true bottom of the whole site, as rows of `[lat, lon, depth]`; read on demand. */
  readonly truth: () => readonly number[][];
}

/**
 * Unpacks the scenes, passes each to `use` and deletes them afterward. Prints a note if the archive is
 * missing.
 */
export function forEachRealScene(print: (line: string) => void, use: (scene: RealScene) => void): void {
  const archive = resolve(ARCHIVE);
  if (!existsSync(archive)) {
    print(`real bottoms: skipped, no ${ARCHIVE}`);
    return;
  }
  const folder = mkdtempSync(join(tmpdir(), 'real-bottoms-'));
  try {
    execFileSync('tar', ['-xJf', archive, '-C', folder]);
    const [root] = readdirSync(folder).map((name) => join(folder, name));
    for (const name of readdirSync(root).sort())
      if (existsSync(join(root, name, 'truth.json'))) use(readScene(root, name));
  } finally {
    rmSync(folder, { recursive: true });
  }
}

function readScene(root: string, name: string): RealScene {
  const [site, way] = name.split('-');
  const folder = join(root, name);
  return {
    site,
    way,
    soundings: readSoundings(join(folder, 'soundings.csv')),
    marks: readMarks(folder),
    truth: () => readRows(join(root, `${site}-grid.csv`)),
  };
}

const readRows = (file: string): number[][] =>
  readFileSync(file, 'utf8')
    .trim()
    .split('\n')
    .slice(1)
    .map((line) => line.split(',').map(Number));

function readSoundings(file: string): Soundings {
  const rows = readRows(file);
  const depth = Float32Array.from(rows, ([, , value]) => value);
  const columns = {
    count: rows.length,
    lat: Float64Array.from(rows, ([lat]) => lat),
    lon: Float64Array.from(rows, ([, lon]) => lon),
    depth,
    time: new Float64Array(rows.length).fill(Number.NaN),
    pass: new Int32Array(rows.length),
    weight: new Float32Array(rows.length).fill(1),
    shallowest: depth,
  };
  return { ...columns, pass: splitPasses(columns, PASS_RULES) };
}

function readMarks(folder: string): KnownMark[] {
  const gpx = readFileSync(join(folder, 'waypoints.gpx'), 'utf8');
  const places = new Map(
    [...gpx.matchAll(/<wpt lat="([^"]+)" lon="([^"]+)">\s*<name>([^<]+)/g)].map(([, lat, lon, name]) => [
      name,
      { lat: Number(lat), lon: Number(lon) },
    ]),
  );
  const truth: Omit<KnownMark, 'lat' | 'lon'>[] = JSON.parse(
    readFileSync(join(folder, 'truth.json'), 'utf8'),
  );
  return truth.flatMap((known) => {
    const place = places.get(known.name);
    return place === undefined ? [] : [{ ...known, ...place }];
  });
}
