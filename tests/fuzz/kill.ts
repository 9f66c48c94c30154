import {
  appendFileSync,
  cpSync,
  mkdtempSync,
  readFileSync,
  renameSync,
  rmSync,
  writeFileSync,
} from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { seededRandom } from '../../shared/math/statistics.ts';
import {
  filesOf,
  gpxOf,
  logOf,
  makeEnriched,
  markOf,
  plain,
  runIn,
  startIn,
  writeFiles,
} from './small-lake.ts';

interface Command {
  /** Arguments, run in the folder of a lake. */
  readonly args: readonly string[];
  /** Matches the files that the command may change. */
  readonly made: RegExp;
  /**
   * Arguments without replacement, which must report mixed outputs; absent if the command remakes outputs by
   * itself.
   */
  readonly asks?: readonly string[];
}

const ENRICH = ['enrich', 'waypoints/marks.gpx', '--soundings', 'logs', '--workers', '1'];
const OUT = ['--table', 'out/t.csv', '--geojson', 'out/l.geojson', '--svg', 'out/figures'];
const PLAN = ['plan', 'enriched', '--ramp', '40.0003,-89.9995', '--csv', 'out/p.csv', '--gpx', 'out/p.gpx'];
const COMMANDS: Readonly<Record<string, Command>> = {
  enrich: {
    args: [...ENRICH, ...OUT, '--force'],
    made: /^out\/|^waypoints\/marks\.enriched\.gpx$/,
    asks: [...ENRICH, ...OUT],
  },
  'in place': {
    args: [...ENRICH, 'waypoints/more.gpx', '--in-place'],
    made: /^waypoints\//,
    // Refused, because a table must not go among the logs.
    asks: [...ENRICH, 'waypoints/more.gpx', '--table', 'logs/log.csv'],
  },
  // `batch` remakes a lake with incomplete outputs.
  batch: { args: ['batch', '.'], made: /^plan\// },
  plan: {
    args: [...PLAN, '--page', 'out/p.html', '--force'],
    made: /^out\//,
    asks: [...PLAN, '--page', 'out/p.html'],
  },
  lake: {
    args: ['lake', 'logs', '--layers', 'out/layers', '--lines', 'out/lines.gpx', '--workers', '1', '--force'],
    made: /^out\//,
    asks: ['lake', 'logs', '--layers', 'out/layers', '--lines', 'out/lines.gpx', '--workers', '1'],
  },
  view: { args: ['view', 'waypoints', '--soundings', 'logs', '--workers', '1'], made: /(?!)/ },
};
/** Module loaded before the program to note the program's steps or to stop the program at a step. */
const STOPPER = new URL('./stop-at.js', import.meta.url);

type Moment = 'before' | 'between' | 'after';

/**
 * Kills runs with SIGKILL: no partial file, no change to the user's files, mixed outputs reported, a clean
 * next run.
 */
export const section = {
  name: 'kill',
  standard: 1000,
  async run(count: number, seed: number, print: (line: string) => void): Promise<void> {
    const random = seededRandom(seed);
    const folder = mkdtempSync(join(tmpdir(), 'downslope-kill-'));
    const enriched = makeEnriched(folder, 2000);
    let failed = 0;
    for (const [at, [name, command]] of Object.entries(COMMANDS).entries()) {
      const rounds = Math.floor((count + at) / Object.keys(COMMANDS).length);
      const tally: Record<Moment, number> = { before: 0, between: 0, after: 0 };
      const lakes = await Promise.all(
        [false, true].map((isSecond) => makeTemplate(folder, enriched, command, isSecond)),
      );
      for (let round = 0; round < rounds; round++) {
        const lake = lakes[round % lakes.length];
        const stopAt =
          random() < 0.5
            ? lake.milliseconds * random()
            : lake.steps[Math.floor(random() * lake.steps.length)];
        try {
          tally[await oneKill(lake, command, stopAt)]++;
        } catch (cause) {
          failed++;
          print(`FAILED ${name} ${round} at ${stopAt}: ${(cause as Error).message}`);
        }
      }
      print(
        `${name}: ${rounds} killed, ${tally.before} before any output, ${tally.between} between two outputs, ${tally.after} after the last`,
      );
    }
    rmSync(folder, { recursive: true });
    print(`${failed} failed`);
    if (failed > 0) process.exitCode = 1;
  },
};

interface Lake {
  /** Folder of every run on this lake: always the same, because outputs are recorded with absolute paths. */
  readonly folder: string;
  /** The lake before the run. */
  readonly template: string;
  /** Duration of a run, ms. */
  readonly milliseconds: number;
  /** Names of the moments in a run before and after a file is put in place. */
  readonly steps: readonly string[];
  /** Files after a complete run, by path. */
  readonly whole: ReadonlyMap<string, string>;
  /** Warnings of a complete run. */
  readonly warnings: readonly string[];
}

/**
 * @param isSecond True for the second evening: outputs of an earlier run exist, and log and marks have
 * changed.
 */
async function makeTemplate(
  parent: string,
  enriched: string,
  command: Command,
  isSecond: boolean,
): Promise<Lake> {
  const base = mkdtempSync(join(parent, 'lake-'));
  const folder = join(base, 'lake');
  // Marks too far from the log to be modeled, because modeling takes most of a run and writes nothing.
  const far = (name: string, lat: number): string => markOf(name, lat, 0.05);
  writeFiles(folder, {
    'waypoints/marks.gpx': gpxOf(far('Point', 0.0006)),
    'waypoints/more.gpx': gpxOf(far('Hump', 0.0008)),
    'logs/log.csv': logOf(100),
    'enriched/marks.enriched.gpx': enriched,
    'out/own.txt': 'of the user',
  });
  if (isSecond) {
    await wholeRun(folder, command);
    appendFileSync(join(folder, 'logs/log.csv'), logOf(110).slice(logOf(100).length));
    for (const name of ['waypoints/marks.gpx', 'waypoints/more.gpx', 'enriched/marks.enriched.gpx']) {
      const path = join(folder, name);
      writeFileSync(
        path,
        readFileSync(path, 'utf8').replaceAll('<name>Point', '<name>Big Point').replace('Hump', 'Big Hump'),
      );
    }
  }
  const template = join(base, 'template');
  renameSync(folder, template);
  putBack({ folder, template });
  const noted = join(base, 'steps');
  writeFileSync(noted, '');
  const started = performance.now();
  const stderr = await wholeRun(folder, command, withStopper({ NOTE_STEPS: noted }));
  const milliseconds = performance.now() - started;
  const steps = readFileSync(noted, 'utf8').trim().split('\n');
  return { folder, template, milliseconds, steps, whole: filesOf(folder), warnings: warningsOf(stderr) };
}

function putBack({ folder, template }: Pick<Lake, 'folder' | 'template'>): void {
  rmSync(folder, { recursive: true, force: true });
  cpSync(template, folder, { recursive: true, preserveTimestamps: true });
}

const withStopper = (env: NodeJS.ProcessEnv): NodeJS.ProcessEnv => ({
  ...env,
  NODE_OPTIONS: `--import ${STOPPER.href}`,
});

/** Runs a command to its end. @returns The messages. @throws Error if the run fails. */
async function wholeRun(folder: string, { args }: Command, env: NodeJS.ProcessEnv = {}): Promise<string> {
  if (args[0] === 'view') return wholeView(folder, args, env);
  const { status, stderr } = runIn(folder, args, env);
  if (status !== 0) throw new Error(`A run to its end gives ${status}: ${stderr}`);
  return stderr;
}

/** Serves the page and requests it once. */
async function wholeView(folder: string, args: readonly string[], env: NodeJS.ProcessEnv): Promise<string> {
  const child = startIn(folder, args, env);
  let said = '';
  const url = new Promise<string | undefined>((resolve) => {
    child.stderr?.setEncoding('utf8').on('data', (text: string) => {
      said += text;
      const found = /http:\S+/.exec(said)?.[0];
      if (found !== undefined) resolve(found);
    });
    child.on('exit', () => resolve(undefined));
  });
  const ended = new Promise<number | null>((resolve) => child.on('exit', resolve));
  const served = await url;
  if (served === undefined) throw new Error(`No page is served: ${said}`);
  const page = await (await fetch(served, { headers: { connection: 'close' } })).text();
  child.kill('SIGINT');
  const status = await ended;
  if (status !== 130 || !page.trimEnd().endsWith('</html>'))
    throw new Error(`The page ends with ${status}: ${said}`);
  return said;
}

/**
 * Kills one run and checks what is left.
 * @param stopAt A step, or ms after the start.
 * @throws Error on a fault.
 */
async function oneKill(lake: Lake, command: Command, stopAt: number | string): Promise<Moment> {
  const { folder, whole } = lake;
  const { made, asks } = command;
  putBack(lake);
  const before = filesOf(folder);
  await kill(lake, command.args, stopAt);
  const after = filesOf(folder);
  for (const [path, text] of before)
    if (!made.test(path) && after.get(path) !== text) throw new Error(`${path} of the user's changed.`);
  const outputs = [...whole].filter(([path]) => made.test(path) && !/\.bak\d*$/.test(path));
  for (const [path, text] of outputs) {
    const found = after.get(path);
    if (found !== before.get(path) && plain(found) !== plain(text)) throw new Error(`${path} is torn.`);
  }
  const differing = outputs.filter(([path, text]) => plain(before.get(path)) !== plain(text));
  const changed = differing.filter(([path]) => after.get(path) !== before.get(path)).length;
  const isBetween = changed > 0 && changed < differing.length;
  if (isBetween && asks !== undefined) {
    const said = runIn(folder, asks).stderr;
    if (!said.includes('store/mixed-outputs')) throw new Error(`Mixed outputs are not reported: ${said}`);
  }
  const warnings = warningsOf(await wholeRun(folder, command)).filter(
    (line) => !lake.warnings.includes(line),
  );
  if (warnings.length > 0) throw new Error(`The next run warns: ${warnings.join(' ')}`);
  const last = filesOf(folder);
  for (const [path, text] of outputs)
    if (plain(last.get(path)) !== plain(text)) throw new Error(`${path} differs after the next run.`);
  const litter = [...last.keys()].filter((path) => path.endsWith('.tmp'));
  if (litter.length > 0) throw new Error(`Left over: ${litter.join(', ')}.`);
  return changed === 0 ? 'before' : isBetween ? 'between' : 'after';
}

/**
 * Starts a run and kills it with its children at the step or time; at the latest after ten times the usual
 * duration.
 */
async function kill(
  { folder, milliseconds }: Lake,
  args: readonly string[],
  stopAt: number | string,
): Promise<void> {
  const isStep = typeof stopAt === 'string';
  const child = startIn(folder, args, isStep ? withStopper({ STOP_AT: stopAt }) : {});
  child.stderr?.resume();
  const timer = setTimeout(
    () => process.kill(-(child.pid as number), 'SIGKILL'),
    isStep ? 10 * milliseconds : stopAt,
  );
  await new Promise((resolve) => child.on('exit', resolve));
  clearTimeout(timer);
}

const warningsOf = (stderr: string): string[] =>
  stderr
    .split('\n')
    .filter((line) => /^(?:warning|error) /.test(line) && !line.includes('store/mixed-outputs'));
