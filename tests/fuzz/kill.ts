import { type ChildProcess, spawn, spawnSync } from 'node:child_process';
import {
  existsSync,
  mkdirSync,
  mkdtempSync,
  readdirSync,
  readFileSync,
  rmSync,
  writeFileSync,
} from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { seededRandom } from '../../shared/math/random.ts';

/** Commands that are killed, by name: arguments in a lake's folder, and what they may change there. */
const COMMANDS: Readonly<Record<string, { readonly args: readonly string[]; readonly made: RegExp }>> = {
  enrich: {
    args: [
      'enrich',
      'waypoints/marks.gpx',
      '--soundings',
      'logs',
      '--table',
      'out/t.csv',
      '--geojson',
      'out/l.geojson',
      '--svg',
      'out/figures',
      '--force',
    ],
    made: /^out\/|^waypoints\/marks\.enriched\.gpx$/,
  },
  'in place': {
    args: ['enrich', 'waypoints/marks.gpx', 'waypoints/more.gpx', '--soundings', 'logs', '--in-place'],
    made: /^waypoints\//,
  },
  batch: { args: ['batch', '.', '--again'], made: /^plan\// },
  plan: {
    args: ['plan', 'enriched', '--csv', 'out/p.csv', '--gpx', 'out/p.gpx', '--page', 'out/p.html', '--force'],
    made: /^out\//,
  },
};
/** The built program, beside the compiled tests. */
const PROGRAM = fileURLToPath(new URL('../../program/cli.js', import.meta.url));
/** Longest run that is waited for, ms. */
const PATIENCE = 60_000;

/** Runs ended with SIGKILL: nothing torn, nothing of the user's changed, mixed outputs said, the next run clean. */
export const section = {
  name: 'kill',
  standard: 1000,
  async run(count: number, seed: number, print: (line: string) => void): Promise<void> {
    const random = seededRandom(seed);
    let failed = 0;
    for (const [at, [name, { args, made }]] of Object.entries(COMMANDS).entries()) {
      const rounds = Math.floor((count + at) / Object.keys(COMMANDS).length);
      const tally = { before: 0, between: 0, after: 0 };
      const whole = await wholeRun(args);
      for (let round = 0; round < rounds; round++) {
        const lake = makeLake();
        try {
          tally[await oneKill(lake, args, made, whole, random())]++;
        } catch (cause) {
          failed++;
          print(`FAILED ${name} ${round}: ${(cause as Error).message}`);
        }
        rmSync(lake, { recursive: true });
      }
      print(
        `${name}: ${rounds} killed, ${tally.before} before any output, ${tally.between} between two, ${tally.after} after the last`,
      );
    }
    print(`${failed} failed`);
    if (failed > 0) process.exitCode = 1;
  },
};

interface Whole {
  /** Length of a run, ms. */
  readonly milliseconds: number;
  /** Files after it, by path. */
  readonly files: ReadonlyMap<string, string>;
}

async function wholeRun(args: readonly string[]): Promise<Whole> {
  const lake = makeLake();
  const started = performance.now();
  const { status, stderr } = runIn(lake, args);
  if (status !== 0) throw new Error(`An undisturbed run ends with ${status}: ${stderr}`);
  const milliseconds = performance.now() - started;
  const files = filesOf(lake);
  rmSync(lake, { recursive: true });
  return { milliseconds, files };
}

/** @returns When the kill came. @throws Error saying what it broke. */
async function oneKill(
  lake: string,
  args: readonly string[],
  made: RegExp,
  whole: Whole,
  share: number,
): Promise<'before' | 'between' | 'after'> {
  const before = filesOf(lake);
  // Half of the moments are anywhere in a run, half of them while its outputs take their places.
  if (share < 0.5) await killWhen(lake, args, sleep(whole.milliseconds * share * 2));
  else await killWhen(lake, args, writing(lake, (share - 0.5) * 4));
  const after = filesOf(lake);
  for (const [path, text] of before)
    if (!made.test(path) && after.get(path) !== text) throw new Error(`${path} of the user's changed.`);
  const outputs = [...whole.files].filter(([path]) => made.test(path) && !/\.bak\d*$/.test(path));
  for (const [path, text] of outputs) {
    const found = after.get(path);
    if (found !== before.get(path) && plain(found) !== plain(text)) throw new Error(`${path} is torn.`);
  }
  const changed = outputs.filter(([path]) => after.get(path) !== before.get(path)).length;
  const differing = outputs.filter(([path, text]) => plain(before.get(path)) !== plain(text)).length;
  const isBetween = changed > 0 && changed < differing;
  if (isBetween && args[0] !== 'batch') {
    const said = runIn(
      lake,
      args.filter((word) => word !== '--force' && word !== '--in-place'),
    ).stderr;
    if (!said.includes('store/mixed-outputs')) throw new Error(`Mixed outputs are not said: ${said}`);
  }
  const next = runIn(lake, args);
  if (next.status !== 0) throw new Error(`The next run ends with ${next.status}: ${next.stderr}`);
  const last = filesOf(lake);
  for (const [path, text] of outputs)
    if (plain(last.get(path)) !== plain(text)) throw new Error(`${path} differs after the next run.`);
  const litter = [...last.keys()].filter((path) => path.endsWith('.tmp'));
  if (litter.length > 0) throw new Error(`Left over: ${litter.join(', ')}.`);
  return changed === 0 ? 'before' : isBetween ? 'between' : 'after';
}

/** Without times of making, which differ between runs. */
const plain = (text: string | undefined): string | undefined =>
  text?.replace(/\d{4}-\d\d-\d\dT[\d:.]+Z?/g, 'TIME');

const runIn = (lake: string, args: readonly string[]) =>
  spawnSync(process.execPath, [PROGRAM, ...args], { cwd: lake, encoding: 'utf8', timeout: PATIENCE });

const sleep = (milliseconds: number): Promise<unknown> =>
  new Promise((resolve) => setTimeout(resolve, milliseconds));

/** Until a run has noted that it begins to put outputs in place, and so many milliseconds more. */
async function writing(lake: string, more: number): Promise<void> {
  const stores = ['logs', 'enriched'].map((name) => join(lake, name, '.downslope'));
  const end = performance.now() + PATIENCE;
  const isNoted = (store: string): boolean =>
    existsSync(store) && readdirSync(store).some((name) => name.startsWith('outputs-'));
  while (performance.now() < end && !stores.some(isNoted)) await sleep(1);
  await sleep(more);
}

async function killWhen(lake: string, args: readonly string[], moment: Promise<unknown>): Promise<void> {
  // A group of its own: the lakes of a batch run in further processes.
  const child: ChildProcess = spawn(process.execPath, [PROGRAM, ...args], {
    cwd: lake,
    stdio: 'ignore',
    detached: true,
  });
  const ended = new Promise((resolve) => child.on('exit', resolve));
  await Promise.race([moment, ended]);
  if (child.pid !== undefined && child.exitCode === null) process.kill(-child.pid, 'SIGKILL');
  await ended;
}

/** Contents of all files below a folder but those of the store, by path. */
function filesOf(folder: string): Map<string, string> {
  const files = new Map<string, string>();
  for (const entry of readdirSync(folder, { recursive: true, withFileTypes: true })) {
    const path = join(entry.parentPath, entry.name);
    const name = path.slice(folder.length + 1);
    if (entry.isFile() && !/\.downslope(?:\/|-job)/.test(name)) files.set(name, readFileSync(path, 'latin1'));
  }
  return files;
}

const gpxOf = (points: string): string =>
  `<?xml version="1.0"?>\n<gpx version="1.1" creator="fuzz" xmlns="http://www.topografix.com/GPX/1/1">\n${points}</gpx>\n`;

/** A small lake: a slope, two files of marks, a log, and an enriched file to plan on. */
function makeLake(): string {
  const lake = mkdtempSync(join(tmpdir(), 'downslope-kill-'));
  for (const name of ['waypoints', 'logs', 'out', 'enriched']) mkdirSync(join(lake, name));
  const mark = (name: string, lat: number): string =>
    `<wpt lat="${lat}" lon="-89.99925"><name>${name}</name><cmt>12 ft</cmt></wpt>\n`;
  writeFileSync(join(lake, 'waypoints/marks.gpx'), gpxOf(mark('Point', 40.0006) + mark('Ledge', 40.0004)));
  writeFileSync(join(lake, 'waypoints/more.gpx'), gpxOf(mark('Hump', 40.0008)));
  const boat = '<wpt lat="40.0003" lon="-89.99925"><name>Point D</name><type>boat position</type></wpt>\n';
  writeFileSync(join(lake, 'enriched/marks.enriched.gpx'), gpxOf(mark('Point', 40.0006) + boat));
  const rows = Array.from({ length: 2000 }, (_, i) => {
    const [row, step] = [Math.floor(i / 50), i % 50];
    return `${1_760_000_000 + i},${(40 + row * 3e-5).toFixed(6)},${(-90 + step * 3e-5).toFixed(6)},${(3 + row / 5).toFixed(2)}`;
  });
  writeFileSync(join(lake, 'logs/log.csv'), `time,lat,lon,depth_m\n${rows.join('\n')}\n`);
  return lake;
}
