import { mkdtempSync, rmSync } from 'node:fs';
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

interface Pair {
  /** Arguments of the two runs, which write different contents to the same files. */
  readonly runs: readonly [readonly string[], readonly string[]];
  /** Matches the message that may refuse one of the runs. */
  readonly refused?: RegExp;
  /** Additional files of the lake. */
  readonly files?: (enriched: string) => Readonly<Record<string, string>>;
}

const ENRICH = ['enrich', 'marks.gpx', '--soundings', 'logs', '--workers', '1'];
const OUT = ['--table', 'out/t.csv', '--geojson', 'out/l.geojson', '--svg', 'out/figures'];
const inUnits = (units: string, ...args: string[]): string[] => [...args, '--units', units];
const bothUnits = (...args: string[]): Pair['runs'] => [inUnits('m', ...args), inUnits('ft', ...args)];

const PAIRS: Readonly<Record<string, Pair>> = {
  'replacing outputs': { runs: bothUnits(...ENRICH, ...OUT, '--force') },
  'new outputs': { runs: bothUnits(...ENRICH, ...OUT), refused: /file\/exists/ },
  'in place': { runs: bothUnits(...ENRICH, '--in-place'), refused: /file\/changed/ },
  batches: {
    runs: [
      ['batch', '.'],
      ['batch', '.', '--again'],
    ],
  },
  'without a store': { runs: bothUnits(...ENRICH, ...OUT, '--no-store', '--force') },
  'layers of the lake': {
    runs: bothUnits(
      'lake',
      'logs',
      '--layers',
      'out/layers',
      '--lines',
      'out/l.gpx',
      '--workers',
      '1',
      '--force',
    ),
  },
  'settings of logs': {
    runs: [
      ['check', '--soundings', 'logs', '--save', '--depth-unit', 'm'],
      ['check', '--soundings', 'logs', '--save', '--vertical', 'down'],
    ],
  },
  reviews: {
    runs: bothUnits('review', 'day.csv', '--csv', 'out/r.csv', '--force'),
    files: (enriched) => ({
      'a.enriched.gpx': enriched,
      'day.csv': 'date,time,mark,minutes,fish,side,lure\n7/4/2025,6:40am,Point,30,3,D,16 ft diver\n',
    }),
  },
  undone: {
    runs: [
      ['undo', 'a.enriched.gpx', 'b.enriched.gpx', '--out', 'out/', '--force'],
      ['undo', 'a.enriched.gpx', 'c/b.enriched.gpx', '--out', 'out/', '--force'],
    ],
    files: (enriched) => ({
      'a.enriched.gpx': enriched,
      'b.enriched.gpx': enriched,
      'c/b.enriched.gpx': enriched.replace('creator="fuzz"', 'creator="other"'),
    }),
  },
  approvals: {
    runs: [
      ['trust', 'a'],
      ['trust', 'b'],
    ],
    files: () => ({ 'a/downslope.yaml': 'plugins: [./x.mjs]\n', 'b/downslope.yaml': 'plugins: [./x.mjs]\n' }),
  },
};
/** Empty settings. */
const SETTINGS = { XDG_CONFIG_HOME: 'settings' };

/**
 * Starts two runs at once on one lake: the files must be as after one run and then the other, or one run must
 * be refused with a reason.
 */
export const section = {
  name: 'two-at-once',
  standard: 120,
  async run(count: number, seed: number, print: (line: string) => void): Promise<void> {
    const random = seededRandom(seed);
    const folder = mkdtempSync(join(tmpdir(), 'downslope-two-'));
    const enriched = makeEnriched(mkdtempSync(join(tmpdir(), 'downslope-enriched-')), 300);
    let failed = 0;
    for (const [at, [name, pair]] of Object.entries(PAIRS).entries()) {
      const rounds = Math.floor((count + at) / Object.keys(PAIRS).length);
      const tally = { both: 0, refused: 0 };
      const { states, milliseconds } = oneAfterTheOther(folder, pair, enriched);
      for (let round = 0; round < rounds; round++) {
        const offset = milliseconds * random() ** 2;
        makeLake(folder, pair, enriched);
        const ended = await Promise.all([end(folder, pair.runs[0], 0), end(folder, pair.runs[1], offset)]);
        const state = stateOf(folder);
        const [bad] = ended.filter(({ status, said }) => status !== 0 && !pair.refused?.test(said));
        const problem =
          bad !== undefined
            ? `a run ends with ${bad.status}: ${bad.said}`
            : states.includes(state)
              ? undefined
              : `the files differ from those of one run after the other: ${[...filesOf(folder).keys()].join(', ')}`;
        tally[ended.every(({ status }) => status === 0) ? 'both' : 'refused']++;
        if (problem === undefined) continue;
        failed++;
        print(`FAILED ${name} ${round}, the second ${offset.toFixed(0)} ms later: ${problem}`);
      }
      print(
        `${name}: ${rounds} pairs; in ${tally.both} both runs wrote, in ${tally.refused} one was refused`,
      );
    }
    rmSync(folder, { recursive: true });
    print(`${failed} failed`);
    if (failed > 0) process.exitCode = 1;
  },
};

function makeLake(folder: string, { runs, files }: Pair, enriched: string): void {
  rmSync(folder, { recursive: true });
  const marks = gpxOf(markOf('Point', 0.0006, 0.05));
  const isBatch = runs[0][0] === 'batch';
  writeFiles(folder, {
    [isBatch ? 'waypoints/marks.gpx' : 'marks.gpx']: marks,
    'logs/log.csv': logOf(100),
    'out/own.txt': 'of the user',
    ...files?.(enriched),
  });
}

/**
 * Returns the allowed final states (after both runs in either order, or after one if runs may be refused).
 */
function oneAfterTheOther(
  folder: string,
  pair: Pair,
  enriched: string,
): { states: string[]; milliseconds: number } {
  const orders = [pair.runs, [...pair.runs].reverse()];
  let milliseconds = 0;
  const states = orders.map((runs) => {
    makeLake(folder, pair, enriched);
    const started = performance.now();
    const ended = runs.map((args) => runIn(folder, args, SETTINGS));
    milliseconds = (performance.now() - started) / 2;
    const isFine = ended.every(({ status, stderr }) => status === 0 || pair.refused?.test(stderr));
    if (!isFine)
      throw new Error(`Undisturbed runs end with: ${ended.map(({ stderr }) => stderr).join('\n')}`);
    return stateOf(folder);
  });
  if (pair.refused === undefined) return { states, milliseconds };
  const alone = pair.runs.map((args) => {
    makeLake(folder, pair, enriched);
    runIn(folder, args, SETTINGS);
    return stateOf(folder);
  });
  return { states: [...states, ...alone], milliseconds };
}

const stateOf = (folder: string): string =>
  JSON.stringify([...filesOf(folder)].map(([path, text]) => [path, plain(text)]).sort());

interface Ended {
  readonly status: number | null;
  readonly said: string;
}

async function end(folder: string, args: readonly string[], after: number): Promise<Ended> {
  await new Promise((resolve) => setTimeout(resolve, after));
  const child = startIn(folder, args, SETTINGS);
  let said = '';
  child.stderr?.setEncoding('utf8').on('data', (text: string) => {
    said += text;
  });
  const status = await new Promise<number | null>((resolve) => child.on('close', resolve));
  return { status, said };
}
