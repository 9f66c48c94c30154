import { execFileSync, spawnSync } from 'node:child_process';
import { createHash } from 'node:crypto';
import {
  mkdirSync,
  readdirSync,
  readFileSync,
  rmSync,
  symlinkSync,
  utimesSync,
  writeFileSync,
} from 'node:fs';
import { join } from 'node:path';
import { describe, expect, test } from 'vitest';
import { gpxOf, makeFolder, PROGRAM, write } from './run-program.ts';

/**
 * CPU time allowed to each process of a command, s; below, the time after which it counts as hanging even on a busy
 * machine, ms.
 */
const CPU_SECONDS = 2;
const PATIENCE = 30_000;

const LOG = `lat,lon,depth_m\n${Array.from({ length: 40 }, (_, i) => `${(40 + i * 1e-5).toFixed(6)},-90.000000,5.0`).join('\n')}\n`;
/** Clear screen, window title, a link, right-to-left override, carriage return. */
const HOSTILE = '\u001b[2J\u001b]0;x\u0007\u001b]8;;http://x\u001b\\\u202egpx\rA';

interface Place {
  readonly lake: string;
  readonly outside: string;
}

/** A lake folder as an attacker might prepare it, and a folder outside it with one of the user's files. */
function strangersLake(): Place & { readonly home: string } {
  const home = makeFolder();
  const place = { lake: join(home, 'lake'), outside: join(home, 'outside') };
  for (const folder of [place.lake, join(place.lake, 'logs'), place.outside]) mkdirSync(folder);
  write(place.lake, 'marks.gpx', gpxOf([{ name: 'A1', lat: 40.5, lon: -90 }]));
  write(join(place.lake, 'logs'), 'a.csv', LOG);
  write(place.outside, 'precious.csv', 'precious');
  return { ...place, home };
}

const pipe = (path: string): void => void execFileSync('mkfifo', [path]);
const zeros = (path: string): void => symlinkSync('/dev/zero', path);
const store = (lake: string): string => {
  const folder = join(lake, 'logs/.downslope');
  mkdirSync(folder, { recursive: true });
  return folder;
};

const ATTACKS: Readonly<Record<string, (place: Place) => void>> = {
  'a pipe as configuration': ({ lake }) => pipe(join(lake, 'downslope.yaml')),
  'a device as configuration': ({ lake }) => zeros(join(lake, 'downslope.yaml')),
  'a folder as configuration': ({ lake }) => mkdirSync(join(lake, 'downslope.yaml')),
  'a pipe as the lure box of the configuration': ({ lake }) => {
    pipe(join(lake, 'box.csv'));
    write(lake, 'downslope.yaml', 'lures: box.csv\n');
  },
  'a pipe as zones of the configuration': ({ lake }) => {
    pipe(join(lake, 'zones.geojson'));
    write(lake, 'downslope.yaml', 'zones: zones.geojson\n');
  },
  'a plugin': ({ lake, outside }) => {
    write(
      lake,
      'own.mjs',
      `import { writeFileSync } from 'node:fs'; writeFileSync(${JSON.stringify(join(outside, 'ran'))}, '');\n`,
    );
    write(lake, 'downslope.yaml', 'plugins: [./own.mjs]\n');
  },
  'a plugin that is a pipe': ({ lake }) => {
    pipe(join(lake, 'own.mjs'));
    write(lake, 'downslope.yaml', 'plugins: [./own.mjs]\n');
  },
  'an output outside': ({ lake }) => void write(lake, 'downslope.yaml', 'table: ../outside/precious.csv\n'),
  'a link as the output folder': ({ lake, outside }) => symlinkSync(outside, join(lake, 'plan')),
  'a link as an output': ({ lake, outside }) => {
    mkdirSync(join(lake, 'plan'));
    symlinkSync(join(outside, 'precious.csv'), join(lake, 'plan/table.csv'));
  },
  'a pipe as an output': ({ lake }) => {
    mkdirSync(join(lake, 'plan'));
    pipe(join(lake, 'plan/table.csv'));
  },
  'a link as the note of what was done': ({ lake, outside }) => {
    mkdirSync(join(lake, 'plan'));
    symlinkSync(join(outside, 'precious.csv'), join(lake, 'plan/.downslope-job'));
  },
  'a pipe as the note of what was done': ({ lake }) => {
    mkdirSync(join(lake, 'plan'));
    pipe(join(lake, 'plan/.downslope-job'));
  },
  'a link as the log folder': ({ lake, outside }) => {
    rmSync(join(lake, 'logs'), { recursive: true });
    symlinkSync(outside, join(lake, 'logs'));
  },
  'a link round in the log folder': ({ lake }) => symlinkSync('.', join(lake, 'logs/again')),
  'a pipe among the logs': ({ lake }) => pipe(join(lake, 'logs/b.csv')),
  'a link to a pipe among the logs': ({ lake }) => {
    pipe(join(lake, 'logs/pipe'));
    symlinkSync('pipe', join(lake, 'logs/b.csv'));
  },
  'a link to a pipe among the marks': ({ lake }) => {
    pipe(join(lake, 'pipe'));
    symlinkSync('pipe', join(lake, 'more.gpx'));
  },
  'a link to a device among the logs': ({ lake }) => zeros(join(lake, 'logs/b.csv')),
  'a link as the store': ({ lake, outside }) => symlinkSync(outside, join(lake, 'logs/.downslope')),
  'links in the store': ({ lake, outside }) => {
    for (const name of ['a.csv.arrow', 'given-out.json', 'lake.tiles', 'writing'])
      symlinkSync(join(outside, 'precious.csv'), join(store(lake), name));
  },
  'pipes in the store': ({ lake }) => {
    for (const name of [
      'a.csv.arrow',
      'given-out.json',
      'lake.tiles',
      'writing',
      `outputs-${'0'.repeat(16)}.json`,
    ])
      pipe(join(store(lake), name));
  },
  'a forged note of outputs, to be removed': ({ lake, outside }) => {
    const path = join(outside, 'precious.csv');
    const sha256 = createHash('sha256').update('precious').digest('hex');
    const output = { path, bytes: 8, sha256, isSame: false };
    const manifest = {
      version: '0',
      state: 'writing',
      process: 1,
      at: Date.now(),
      outputs: [output],
      replaces: [output],
    };
    write(store(lake), `outputs-${'1'.repeat(16)}.json`, JSON.stringify(manifest));
  },
  'forged stored soundings': ({ lake }) => {
    for (const name of ['a.csv.arrow', 'lake.tiles', 'given-out.json'])
      writeFileSync(join(store(lake), name), Buffer.alloc(100_000, 'ARROW1\0\0'));
  },
  'an old lock of a process that runs': ({ lake }) => {
    const minuteAgo = new Date(Date.now() - 60_000);
    utimesSync(write(store(lake), 'writing', `${process.pid} 0`), minuteAgo, minuteAgo);
  },
  'names with escape sequences': ({ lake }) => {
    write(
      lake,
      'marks.gpx',
      gpxOf([{ name: HOSTILE.replaceAll(/[\u001b\u0007]/g, '\u009b'), lat: 40, lon: -90 }]),
    );
    writeFileSync(join(lake, 'logs', `${HOSTILE.replaceAll('/', '_')}.csv`), 'x,y\n1,2\n');
  },
};

/** Everything in a folder, including links. */
const contentOf = (folder: string): string[] =>
  readdirSync(folder).map((name) => `${name}: ${readFileSync(join(folder, name), 'utf8')}`);

describe.skipIf(process.platform === 'win32')(
  "a stranger's lake folder runs nothing, changes nothing outside, and makes nothing hang:",
  () => {
    test.each(Object.entries(ATTACKS))('%s', { timeout: 2 * PATIENCE }, (_, attack) => {
      const { home, lake, outside } = strangersLake();
      attack({ lake, outside });
      const { status, signal, stdout, stderr } = spawnSync(
        'sh',
        ['-c', `ulimit -t ${CPU_SECONDS}; exec "$0" "$@"`, process.execPath, PROGRAM, 'batch', 'lake'],
        {
          cwd: home,
          encoding: 'utf8',
          timeout: PATIENCE,
          env: { ...process.env, XDG_CONFIG_HOME: join(home, 'settings') },
        },
      );
      expect(signal, stderr).toBe(null);
      expect([0, 1, 2], stderr).toContain(status);
      expect(stderr).not.toMatch(/exit 1(?:37|52)|,failed,1(?:37|52)|internal/);
      expect(contentOf(outside)).toEqual(['precious.csv: precious']);
      expect(stdout + stderr).not.toMatch(
        /[\u0000-\u0008\u000b-\u001f\u007f-\u009f\u202a-\u202e\u2066-\u2069]/,
      );
      rmSync(home, { recursive: true });
    });
  },
);
