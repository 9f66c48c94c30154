import { fork } from 'node:child_process';
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { SaxesParser } from 'saxes';
import type { WaypointAddition } from '../../src/formats/gpx/gpx-document.ts';

const TRACK_POINTS = 1_000_000;
const WAYPOINTS = 2000;

/** Measures time and memory for a GPX file of about 100 MB: a million track points and 2,000 waypoints. */
export const section = {
  name: 'gpx',
  async run(print: (line: string) => void): Promise<void> {
    const folder = mkdtempSync(join(tmpdir(), 'downslope-bench-'));
    try {
      const file = join(folder, 'lake.gpx');
      const size = writeLakeFile(file, TRACK_POINTS, WAYPOINTS);
      print(`GPX of ${(size / 1e6).toFixed(0)} MB, ${TRACK_POINTS} track points, ${WAYPOINTS} waypoints`);
      const alone: Measured[] = [];
      const enriched: Measured[] = [];
      const tracks: Measured[] = [];
      for (let round = 0; round < 3; round++) {
        alone.push(await measure('tokenize', file));
        enriched.push(await measure('enrich', file));
        tracks.push(await measure('tracks', file));
      }
      const cpu = (runs: Measured[]): number => Math.min(...runs.map(({ seconds }) => seconds));
      const memory = (runs: Measured[]): number => Math.max(...runs.map(({ megabytes }) => megabytes));
      const line = (what: string, runs: Measured[]): string =>
        `  ${what.padEnd(44)} ${cpu(runs).toFixed(2)} s CPU, ${(cpu(runs) / cpu(alone)).toFixed(2)} times the tokenizer, peak ${memory(runs).toFixed(0)} MiB`;
      print(line('tokenizer alone (saxes, namespaces)', alone));
      print(line('read, enrich, check, write atomically', enriched));
      print(line('read track points with depth and time', tracks));
    } finally {
      rmSync(folder, { recursive: true, force: true });
    }
  },
};

interface Measured {
  readonly seconds: number;
  readonly megabytes: number;
}

type Job = 'tokenize' | 'enrich' | 'tracks';

/** Runs one job in a separate process and measures user CPU time, s, and peak memory, MiB. */
function measure(job: Job, file: string): Promise<Measured> {
  return new Promise((resolve, reject) => {
    const child = fork(fileURLToPath(import.meta.url), [job, file]);
    let measured: Measured | undefined;
    child.on('message', (message: Measured) => {
      measured = message;
    });
    child.on('exit', (status) => {
      if (measured === undefined) reject(new Error(`${job} ended with status ${status}.`));
      else resolve(measured);
    });
  });
}

/**
 * Writes a file of invented tracks and waypoints, with about 100 bytes per track point and, as some loggers
 * write them, depths without a namespace. @returns Size of the file, bytes.
 */
export function writeLakeFile(file: string, trackPoints: number, waypoints: number): number {
  const parts = [
    '<?xml version="1.0" encoding="UTF-8"?>\n<gpx version="1.1" creator="bench" xmlns="http://www.topografix.com/GPX/1/1">\n',
  ];
  for (let i = 0; i < waypoints; i++) {
    parts.push(
      `  <wpt lat="${(45 + (i % 50) * 0.002).toFixed(6)}" lon="${(-93 + Math.floor(i / 50) * 0.003).toFixed(6)}">\n    <ele>281.2</ele>\n    <name>Mark ${i}</name>\n    <cmt>fish 14-19 ft</cmt>\n    <sym>Flag</sym>\n  </wpt>\n`,
    );
  }
  parts.push('  <trk>\n    <name>idle passes</name>\n    <trkseg>\n');
  for (let i = 0; i < trackPoints; i++) {
    const time = new Date(1_750_000_000_000 + i * 1000).toISOString().replace('.000', '');
    parts.push(
      `<trkpt lat="${(45 + (i % 9973) * 1e-5).toFixed(6)}" lon="${(-93 + (i % 7919) * 1e-5).toFixed(6)}"><time>${time}</time><depth>${(3 + (i % 97) / 10).toFixed(1)}</depth></trkpt>\n`,
    );
    if (i % 5000 === 4999) parts.push('</trkseg><trkseg>\n');
  }
  parts.push('    </trkseg>\n  </trk>\n</gpx>\n');
  const bytes = Buffer.from(parts.join(''));
  writeFileSync(file, bytes);
  return bytes.length;
}

function tokenize(file: string): void {
  const parser = new SaxesParser({ xmlns: true });
  let tags = 0;
  parser.on('opentag', () => {
    tags++;
  });
  const bytes = readFileSync(file);
  for (let at = 0; at < bytes.length; at += 65536) parser.write(bytes.toString('latin1', at, at + 65536));
  parser.close();
  if (tags < TRACK_POINTS) throw new Error('The tokenizer lost tags.');
}

async function enrichFile(file: string): Promise<void> {
  const { readInput } = await import('../../src/files/read-input.ts');
  const { readGpx } = await import('../../src/formats/gpx/read-gpx.ts');
  const { enrichGpx } = await import('../../src/formats/gpx/enrich-gpx.ts');
  const { checkTarget } = await import('../../src/files/output-target.ts');
  const { writeAtomically } = await import('../../src/files/atomic-write.ts');
  const document = readGpx(readInput(file), file);
  const additions = document.waypoints.map(({ fileIndex, lat, lon }): WaypointAddition => {
    const boat = (suffix: string, north: number) => ({
      suffix,
      lat: lat + north,
      lon,
      comment: 'Boat 25ft, cast 214M 48yd to 9ft, 18ft diver, on bottom 11-19ft',
      values: [],
    });
    return {
      fileIndex,
      values: Array.from({ length: 25 }, (_, i) => ({
        name: `value_${i}`,
        value: (i / 7).toFixed(2),
        unit: 'm',
      })),
      comment: 'Ledge 71%, 14ft, slope 8deg to 214M; fish 14-19ft',
      partners: [boat('D', 0.0003), boat('U', -0.0003)],
    };
  });
  const options = {
    plain: false,
    ascii: false,
    capitals: false,
    textIn: 'cmt' as const,
    maxName: undefined,
    maxWaypoints: undefined,
    maxText: undefined,
    downslopeSymbol: undefined,
    upslopeSymbol: undefined,
    symbols: undefined,
  };
  const { parts } = enrichGpx(document, additions, options);
  const target = checkTarget(`${file}.out`, { force: true, inPlace: false, inputs: [] });
  await writeAtomically(target, parts[0].bytes);
}

async function readTracks(file: string): Promise<void> {
  const { createReadStream } = await import('node:fs');
  const { readTrackPoints } = await import('../../src/formats/gpx/track-points.ts');
  let withDepth = 0;
  for await (const points of readTrackPoints(createReadStream(file, { highWaterMark: 1 << 18 }), file))
    for (const { depth } of points) if (!Number.isNaN(depth)) withDepth++;
  if (withDepth !== TRACK_POINTS) throw new Error(`Depths of ${withDepth} track points.`);
}

if (process.send !== undefined && process.argv[1] === fileURLToPath(import.meta.url)) {
  const [, , job, file] = process.argv;
  const before = process.cpuUsage();
  if (job === 'tokenize') tokenize(file);
  else if (job === 'enrich') await enrichFile(file);
  else await readTracks(file);
  const { user } = process.cpuUsage(before);
  process.send({ seconds: user / 1e6, megabytes: process.resourceUsage().maxRSS / 1024 }, () =>
    process.exit(0),
  );
}
