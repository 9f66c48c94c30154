import { execFileSync } from 'node:child_process';
import { createHash } from 'node:crypto';
import {
  mkdirSync,
  readdirSync,
  readFileSync,
  rmSync,
  symlinkSync,
  truncateSync,
  utimesSync,
  writeFileSync,
} from 'node:fs';
import { join } from 'node:path';
import { gpxOf, markOf } from './small-lake.ts';

/** A lake folder as an attacker might prepare it, and a folder outside it with the user's files. */
export interface Place {
  readonly lake: string;
  readonly outside: string;
}

/**
 * Text that clears the screen, sets the window title, makes a link, reverses text and returns to the line's
 * start.
 */
const HOSTILE = '\u001b[2J\u001b]0;x\u0007\u001b]8;;http://x\u001b\\\u202egpx\rA';
/** Characters that control a terminal or change the direction of text. */
export const OBEYED = /[\u0000-\u0008\u000b-\u001f\u007f-\u009f\u202a-\u202e\u2066-\u2069]/;

const PRECIOUS: Readonly<Record<string, string>> = {
  'precious.csv': 'precious',
  'precious.gpx': gpxOf(markOf('Precious', 0.0006)),
};

export function makeOutside(folder: string): void {
  mkdirSync(folder);
  for (const [name, text] of Object.entries(PRECIOUS)) write(folder, name, text);
}

/** Returns whether the outside folder holds exactly its original files, unchanged. */
export const isUntouched = (outside: string): boolean =>
  JSON.stringify(readdirSync(outside).sort()) === JSON.stringify(Object.keys(PRECIOUS)) &&
  Object.entries(PRECIOUS).every(([name, text]) => readFileSync(join(outside, name), 'utf8') === text);

function write(folder: string, name: string, text: string): string {
  const path = join(folder, name);
  writeFileSync(path, text);
  return path;
}

const pipe = (path: string): void => void execFileSync('mkfifo', [path]);
const zeros = (path: string): void => symlinkSync('/dev/zero', path);
/** Creates a sparse file of 8 GiB. */
const sparse = (path: string): void => {
  writeFileSync(path, '');
  truncateSync(path, 2 ** 33);
};
const store = (lake: string): string => {
  const folder = join(lake, 'logs/.downslope');
  mkdirSync(folder, { recursive: true });
  return folder;
};

/** Attacks that a lake folder may contain, by name. */
export const ATTACKS: Readonly<Record<string, (place: Place) => void>> = {
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
  'a link as the output folder': ({ lake, outside }) => {
    rmSync(join(lake, 'plan'), { recursive: true, force: true });
    symlinkSync(outside, join(lake, 'plan'));
  },
  'a link as an output': ({ lake, outside }) => {
    mkdirSync(join(lake, 'plan'), { recursive: true });
    symlinkSync(join(outside, 'precious.csv'), join(lake, 'plan/table.csv'));
  },
  'a pipe as an output': ({ lake }) => {
    mkdirSync(join(lake, 'plan'), { recursive: true });
    pipe(join(lake, 'plan/table.csv'));
  },
  'a link as the record of the job': ({ lake, outside }) => {
    mkdirSync(join(lake, 'plan'), { recursive: true });
    symlinkSync(join(outside, 'precious.csv'), join(lake, 'plan/.downslope-job'));
  },
  'a pipe as the record of the job': ({ lake }) => {
    mkdirSync(join(lake, 'plan'), { recursive: true });
    pipe(join(lake, 'plan/.downslope-job'));
  },
  'a link as the log folder': ({ lake, outside }) => {
    rmSync(join(lake, 'logs'), { recursive: true });
    symlinkSync(outside, join(lake, 'logs'));
  },
  'a circular link in the log folder': ({ lake }) => symlinkSync('.', join(lake, 'logs/again')),
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
  'a forged manifest that names a file outside as a partial output': ({ lake, outside }) => {
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
  'an old lock of a running process': ({ lake }) => {
    const minuteAgo = new Date(Date.now() - 60_000);
    utimesSync(write(store(lake), 'writing', `${process.pid} 0`), minuteAgo, minuteAgo);
  },
  'names with escape sequences': ({ lake }) => {
    write(lake, 'marks.gpx', gpxOf(markOf(HOSTILE.replaceAll(/[\u001b\u0007]/g, '\u009b'), 0.0006)));
    writeFileSync(join(lake, 'logs', `${HOSTILE.replaceAll('/', '_')}.csv`), 'x,y\n1,2\n');
  },
  'a huge configuration': ({ lake }) => sparse(join(lake, 'downslope.yaml')),
  'a configuration that expands when it is parsed': ({ lake }) => {
    const levels = Array.from(
      { length: 12 },
      (_, i) => `g${i + 1}: &g${i + 1} [${Array(10).fill(`*g${i}`).join(', ')}]`,
    );
    write(lake, 'downslope.yaml', ['g0: &g0 [x]', ...levels, 'table: *g12', ''].join('\n'));
  },
  'outputs outside in a preset': ({ lake }) =>
    void write(
      lake,
      'downslope.yaml',
      'preset: p\nforce: true\npresets:\n  p:\n    table: ../outside/precious.csv\n    svg: ../outside\n',
    ),
  'every output outside, by force': ({ lake }) => {
    const flags = [
      'table',
      'geojson',
      'report',
      'boat',
      'cast-lines',
      'csv',
      'gpx',
      'page',
      'lines',
      'passes',
      'out',
    ];
    const lines = flags.map((flag) => `${flag}: ../outside/precious.csv`);
    write(
      lake,
      'downslope.yaml',
      ['force: true', 'svg: ../outside', 'layers: ../outside', ...lines, ''].join('\n'),
    );
  },
  'links as folders of outputs': ({ lake, outside }) => {
    mkdirSync(join(lake, 'plan'), { recursive: true });
    for (const name of ['figures', 'layers']) symlinkSync(outside, join(lake, 'plan', name));
  },
  'a link as the marks': ({ lake, outside }) => {
    rmSync(join(lake, 'marks.gpx'));
    symlinkSync(join(outside, 'precious.gpx'), join(lake, 'marks.gpx'));
  },
  'links as backups and results of the marks': ({ lake, outside }) => {
    for (const name of ['marks.gpx.bak', 'marks.gpx.bak2', 'marks.restored.gpx', 'spots.restored.gpx'])
      symlinkSync(join(outside, 'precious.gpx'), join(lake, name));
  },
  'a link as the settings of a log': ({ lake, outside }) =>
    symlinkSync(join(outside, 'precious.csv'), join(lake, 'logs/a.csv.yaml')),
  'a pipe as the settings of a log': ({ lake }) => pipe(join(lake, 'logs/a.csv.yaml')),
  'a device as the settings of a log': ({ lake }) => zeros(join(lake, 'logs/a.csv.yaml')),
  'huge files in the store': ({ lake }) => {
    for (const name of [
      'a.csv.arrow',
      'given-out.json',
      'lake.tiles',
      'writing',
      `outputs-${'0'.repeat(16)}.json`,
    ])
      sparse(join(store(lake), name));
  },
  'a store that is a file': ({ lake }) => void write(join(lake, 'logs'), '.downslope', 'x'),
  'a pipe among the logs of days': ({ lake }) => pipe(join(lake, 'day2.csv')),
};
