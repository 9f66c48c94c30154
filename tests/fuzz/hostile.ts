import { cpSync, existsSync, mkdtempSync, readdirSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { ATTACKS, isUntouched, makeOutside, OBEYED } from './attacks.ts';
import { gpxOf, logOf, makeEnriched, markOf, startIn, writeFiles } from './small-lake.ts';

const LOGS = ['--soundings', 'lake/logs'];
const SIDE = [
  '--table',
  'lake/plan/table.csv',
  '--geojson',
  'lake/plan/l.geojson',
  '--svg',
  'lake/plan/figures',
];
/** Arguments of each command, run in the folder that holds the lake. */
const COMMANDS: Readonly<Record<string, readonly string[]>> = {
  batch: ['batch', 'lake'],
  enrich: ['enrich', 'lake/marks.gpx', ...LOGS, ...SIDE, '--out', 'lake/plan/marks.gpx', '--force'],
  'enrich a folder': [
    'enrich',
    'lake',
    ...LOGS,
    '--report',
    'lake/plan/r.html',
    '--out',
    'lake/plan/',
    '--force',
  ],
  'in place': ['enrich', 'lake/marks.gpx', ...LOGS, '--in-place'],
  check: [
    'check',
    'lake',
    ...LOGS,
    '--passes',
    'lake/plan/table.csv',
    '--save',
    '--depth-unit',
    'm',
    '--force',
  ],
  view: ['view', 'lake/marks.gpx', ...LOGS],
  plan: [
    ...[
      'plan',
      'lake',
      ...LOGS,
      '--ramp',
      '40.0003,-89.9995',
      '--log',
      'lake/day.csv',
      '--csv',
      'lake/plan/table.csv',
    ],
    ...['--gpx', 'lake/plan/day.gpx', '--page', 'lake/plan/p.html', '--force'],
  ],
  review: ['review', 'lake/day.csv', '--lake', 'lake', '--csv', 'lake/plan/table.csv', '--force'],
  lake: ['lake', 'lake/logs', '--layers', 'lake/plan/layers', '--lines', 'lake/plan/table.csv', '--force'],
  prospect: ['prospect', 'lake/marks.gpx', ...LOGS, '--gpx', 'lake/plan/marks.gpx', ...SIDE, '--force'],
  undo: ['undo', 'lake/spots.enriched.gpx', ...LOGS, '--force'],
  'undo in a folder': [
    'undo',
    'lake/spots.enriched.gpx',
    'lake/marks.gpx',
    ...LOGS,
    '--out',
    'lake/plan/',
    '--force',
  ],
  unit: ['unit', 'lake/spots.enriched.gpx', ...LOGS, '--save', 'mine'],
};
/** Commands without `--config`. */
const WITHOUT_CONFIG = ['batch'];

/** Attack that is left out where the command line names the log folder, because the user may name a link. */
const NAMED = 'a link as the log folder';

/** CPU time that each process may use beyond the duration of the command on a good folder, s. */
const EXTRA_SECONDS = 2;
/** Duration after which a command counts as hanging, ms. */
const PATIENCE = 60_000;

/**
 * Runs every command under each attack: no code of the folder may run, nothing outside change, nothing hang.
 */
export const section = {
  name: 'attacks',
  async run(_count: number, _seed: number, print: (line: string) => void): Promise<void> {
    const home = mkdtempSync(join(tmpdir(), 'downslope-attacks-'));
    const template = join(home, 'template');
    makeLake(template, makeEnriched(home, 300));
    let failed = 0;
    for (const [name, args] of Object.entries(COMMANDS)) {
      const good = await tried(home, template, args, () => {}, 600);
      if (good.problem !== undefined || ![0, 130].includes(good.status ?? -1))
        throw new Error(`${name} fails on a good folder: ${good.problem ?? good.said}`);
      const limit = Math.ceil(good.seconds) + EXTRA_SECONDS;
      let refused = 0;
      let slowest = 0;
      for (const [what, attack] of Object.entries(ATTACKS)) {
        if (what === NAMED && args.some((word) => word.startsWith('lake/logs'))) continue;
        const { problem, seconds, status } = await tried(home, template, args, attack, limit);
        slowest = Math.max(slowest, seconds);
        if (status !== 0 && status !== 130) refused++;
        if (problem === undefined) continue;
        failed++;
        print(`FAILED ${name}, ${what}: ${problem}`);
      }
      print(
        `${name}: ${Object.keys(ATTACKS).length} attacks, ${refused} refused; ${good.seconds.toFixed(1)} s on a good folder, at most ${slowest.toFixed(1)} s under attack`,
      );
    }
    rmSync(home, { recursive: true });
    print(`${failed} failed`);
    if (failed > 0) process.exitCode = 1;
  },
};

interface Tried {
  readonly status: number | null;
  readonly said: string;
  readonly seconds: number;
  readonly problem?: string;
}

async function tried(
  home: string,
  template: string,
  args: readonly string[],
  attack: (place: { lake: string; outside: string }) => void,
  limit: number,
): Promise<Tried> {
  const [lake, outside] = [join(home, 'lake'), join(home, 'outside')];
  for (const folder of [lake, outside, join(home, 'settings')])
    rmSync(folder, { recursive: true, force: true });
  cpSync(template, lake, { recursive: true, preserveTimestamps: true });
  makeOutside(outside);
  attack({ lake, outside });
  const config = 'lake/downslope.yaml';
  const isThere = existsSync(join(home, config)) || readdirSync(lake).includes('downslope.yaml');
  const all = isThere && !WITHOUT_CONFIG.includes(args[0]) ? [...args, '--config', config] : args;
  const started = performance.now();
  const { status, said, hangs } = await ended(home, all, limit);
  const seconds = (performance.now() - started) / 1000;
  const problem = hangs
    ? `hangs: ${said}`
    : !isUntouched(outside)
      ? `the outside folder changed: ${readdirSync(outside).join(', ')}`
      : ![0, 1, 2, 130].includes(status ?? -1) ||
          /exit 1(?:37|52)|,failed,1(?:37|52)|bug in downslope/.test(said)
        ? `ends with ${status}: ${said}`
        : OBEYED.test(said)
          ? `prints control characters: ${JSON.stringify(said)}`
          : undefined;
  return { status, said, seconds, problem };
}

/** Runs a command to its end; stops a served page as soon as the command reports its address. */
async function ended(home: string, args: readonly string[], limit: number) {
  const env = { XDG_CONFIG_HOME: join(home, 'settings') };
  const child = startIn(home, args, env, limit);
  let said = '';
  for (const stream of [child.stdout, child.stderr])
    stream?.setEncoding('utf8').on('data', (text: string) => {
      said += text;
      if (/^The report is at /m.test(text)) child.kill('SIGINT');
    });
  let hangs = false;
  const timer = setTimeout(() => {
    hangs = true;
    process.kill(-(child.pid as number), 'SIGKILL');
  }, PATIENCE);
  const status = await new Promise<number | null>((resolve) => child.on('close', resolve));
  clearTimeout(timer);
  return { status, said, hangs };
}

/**
 * Creates a lake with soundings, a mark too far away from the soundings to be modeled, an enriched file and a
 * day log.
 */
function makeLake(folder: string, enriched: string): void {
  writeFiles(folder, {
    'marks.gpx': gpxOf(markOf('Far', 0.0006, 0.05)),
    'spots.enriched.gpx': enriched,
    'logs/a.csv': logOf(100),
    'plan/own.txt': 'of the lake',
    'day.csv': 'date,time,mark,minutes,fish,side,lure\n7/4/2025,6:40am,Point,30,3,D,16 ft diver\n',
  });
}
