import { group, max, min, sum } from 'd3-array';
import { uniqBy } from 'es-toolkit/array';
import { estimateUnseen, isWorthAPass, missedFormChance } from '../../shared/bottom/index.ts';
import {
  type Diagnostic,
  type DisplayUnits,
  fromMeters,
  inUnits,
  type LogSummary,
  type Survey,
  type Waypoint,
} from '../../shared/contract/index.ts';
import { type CheckAnswer, isInLog, type ProposedPass } from '../../shared/engine/index.ts';
import { compassText } from '../../shared/geo/index.ts';
import {
  accountOf,
  agreementAt,
  type Coverage,
  coverageAt,
  dayName,
  dayNumber,
  findCrossings,
  groupsOf,
  groupTies,
  indexSurvey,
  nameOf,
  orderKept,
  proposePasses,
  type TieSearch,
  untiedParts,
} from '../../shared/survey/index.ts';
import { grouped, oddsText } from '../../shared/text/index.ts';
import { formatRoutesGpx } from '../formats/gpx/index.ts';

interface CheckInput {
  readonly survey: Survey;
  readonly waypoints: readonly Waypoint[];
  readonly diagnostics: readonly Diagnostic[];
  /** Logs, and files inside logs, that were refused. */
  readonly leftOut?: readonly string[];
  /** Faults that a setting repairs, by log or file inside a log. */
  readonly faults?: ReadonlyMap<string, readonly Diagnostic[]>;
  /** Files among the logs that are neither logs nor companion files such as `.prj`. */
  readonly passedOver?: readonly string[];
  readonly units: DisplayUnits;
  /** Day the plan is for, `YYYY-MM-DD`. */
  readonly date: string;
}

/** Makes the report of `check`: text, coverage of the marks, and passes worth running, also as GPX routes. */
export function checkReport(input: CheckInput): Pick<CheckAnswer, 'text' | 'marks' | 'passes' | 'routes'> {
  const { survey, waypoints, diagnostics, units, date, leftOut = [], passedOver = [] } = input;
  const index = indexSurvey(survey);
  const unseen = waypoints.length === 0 ? undefined : estimateUnseen(survey, index);
  const covered = waypoints.map((waypoint): Covered => {
    const coverage = coverageAt(survey, index, waypoint.lat, waypoint.lon);
    const missed = unseen === undefined ? 0 : missedFormChance(unseen, coverage.nearest);
    return { waypoint, coverage, missed };
  });
  const { work } = accountOf(survey);
  const tying = untiedParts(work).map(
    (untied): ProposedPass => ({ reason: `ties ${untied.words}`, ...untied.pass }),
  );
  const passes = [
    ...tying,
    ...[...weakOf(covered), ...missedOf(covered)].flatMap((one) =>
      proposePasses(one.waypoint.lat, one.waypoint.lon, one.coverage, isWorthAPass(one.missed)).map(
        (line): ProposedPass => ({ waypoint: one.waypoint, reason: reasonOf(one, units), ...line }),
      ),
    ),
  ];
  const hasLogs = survey.logs.length > 0;
  const sections = [
    hasLogs ? faultLines(survey.logs, diagnostics, units) : [NO_LOGS],
    ...(leftOut.length === 0 ? [] : [leftOutLines(leftOut, diagnostics, input.faults, units)]),
    coverageLines(covered, units),
    passLines(passes, units, date),
    ...(hasLogs
      ? [
          agreementLines(survey, work, units),
          levelLines(diagnostics, units),
          dayLines(survey, units),
          [
            ...logLines(survey.logs),
            ...(passedOver.length === 0
              ? []
              : [`Skipped, because they are not logs: ${passedOver.join(', ')}`]),
          ],
        ]
      : []),
  ];
  const text = sections.map((lines) => lines.join('\n')).join('\n\n');
  const marks = covered.map(({ waypoint, coverage, missed }) => ({
    waypoint: waypoint.name,
    ...coverage,
    missed,
  }));
  return { text, marks, passes, routes: formatRoutes(passes, date) };
}

const NO_LOGS = 'No logs were checked: none was given. Give your sonar logs with --soundings.';

const length = (meters: number, units: DisplayUnits, decimals = 0): string =>
  Number.isFinite(meters) ? `${fromMeters(meters, units).toFixed(decimals)} ${units}` : 'none';

/** Codes of faults of a file or of the whole survey, worst first. */
const FAULTS = [
  'unit-change',
  'no-soundings',
  'ele-below',
  'no-overlap',
  'unit-mismatch',
  'cross-offset',
  'drift',
  'shift',
  'heading',
  'lag',
  'contradicted',
  'level-far',
  'level-reference',
  'held-depth',
  'untied',
].map((code) => `soundings/${code}`);

/** Formats a message with its file, unless the message names the file itself. */
const sentence = ({ place, message }: Diagnostic, units: DisplayUnits): string =>
  `  ${place?.file === undefined || message.includes(place.file) ? '' : `${place.file}: `}${inUnits(message, units)}`;

/** Formats the worst fault of each file and each fault of the whole survey, worst first. */
function faultLines(
  logs: readonly LogSummary[],
  diagnostics: readonly Diagnostic[],
  units: DisplayUnits,
): string[] {
  const known = diagnostics
    .filter(({ code }) => FAULTS.includes(code))
    .sort((a, b) => FAULTS.indexOf(a.code) - FAULTS.indexOf(b.code));
  const reported = uniqBy(known, ({ place, message }) => place?.file ?? message);
  const faulty = reported.map(({ place }) => place?.file);
  const clean = logs.map(({ file }) => file).filter((file) => !faulty.includes(file));
  const isWrong = reported.some(({ code }) => code !== 'soundings/untied');
  return [
    isWrong ? 'What is wrong:' : 'Nothing is wrong with the logs as a whole.',
    ...reported.map((said) => sentence(said, units)),
    ...(isWrong && clean.length > 0 ? [`  Nothing found wrong: ${clean.join(', ')}`] : []),
  ];
}

const logLines = (logs: readonly LogSummary[]): string[] => [
  `Logs: ${logs.length}`,
  ...logs.flatMap(({ file, account: { read, used, dropped } }) => {
    const reasons = Object.entries(dropped).filter(([, rows]) => rows > 0);
    const all = sum(reasons, ([, rows]) => rows);
    return [
      `  ${file}: ${counted(read, 'row')} read, ${grouped(used)} used, ${grouped(all)} dropped`,
      ...reasons.map(
        ([reason, rows]) => `    ${grouped(rows)} ${reason.replace(/^.*\//, '').replaceAll('-', ' ')}`,
      ),
    ];
  }),
];

export function leftOutLines(
  leftOut: readonly string[],
  diagnostics: readonly Diagnostic[],
  faults: CheckInput['faults'],
  units: DisplayUnits,
): string[] {
  const lines = [`Logs left out: ${leftOut.length}`];
  const faultsIn = (log: string) => [...(faults ?? [])].filter(([input]) => isInLog(input, log));
  for (const file of leftOut) {
    const reason = diagnostics.find(
      ({ place, severity }) => severity === 'error' && isInLog(place?.file, file),
    );
    const known = faultsIn(file);
    for (const [input, [first = reason, ...further]] of known.length > 0 ? known : [[file, []] as const]) {
      lines.push(`  ${input}: ${first === undefined ? 'see above' : inUnits(first.message, units)}`);
      for (const { message } of further) lines.push(`    then: ${inUnits(message, units)}`);
    }
  }
  const settings = new Set(
    leftOut.flatMap(faultsIn).flatMap(([, own]) => own.flatMap(({ repair }) => repair?.setting ?? [])),
  );
  if (settings.size > 0)
    lines.push(
      `  Once you know the values, run check --save with ${[...settings].map((setting) => `--${setting}`).join(', ')}: each log keeps what it needs for every later run.`,
    );
  return lines;
}

const counted = (count: number, noun: string): string => `${grouped(count)} ${noun}${count === 1 ? '' : 's'}`;

function dayLines(survey: Survey, units: DisplayUnits): string[] {
  const days = group(Array(survey.count).keys(), (row) => dayNumber(survey.time[row]));
  const dated = [...days].filter(([day]) => day >= 0).sort(([a], [b]) => a - b);
  const rowsOf = (day: readonly number[] = []): number => sum(day, (row) => survey.weight[row]);
  const undated = rowsOf(days.get(-1));
  return [
    `Days (UTC): ${dated.length}${undated > 0 ? `, and ${counted(undated, 'sounding')} without a date` : ''}`,
    ...dated.map(([day, rows]) => {
      const [least, most] = [min(rows, (i) => survey.shallowest[i])!, max(rows, (i) => survey.depth[i])!];
      return `  ${dayName(day)}: ${counted(rowsOf(rows), 'sounding')}, ${length(least, units, 1)} to ${length(most, units, 1)}`;
    }),
  ];
}

function levelLines(diagnostics: readonly Diagnostic[], units: DisplayUnits): string[] {
  const said = diagnostics.filter(({ code }) => LEVEL_CODES.includes(code));
  if (diagnostics.some(({ code }) => code === 'soundings/level-reference'))
    return ['Water levels: no readings for the days of the logs'];
  if (said.length === 0)
    return ['Water levels: none given; every sounding is taken to be at the level of the plan'];
  return ['Water levels:', ...said.map((each) => sentence(each, units))];
}

const LEVEL_CODES = ['water-level', 'level-unknown', 'level-outside', 'level-today'].map(
  (code) => `soundings/${code}`,
);

function agreementLines(survey: Survey, work: TieSearch, units: DisplayUnits): string[] {
  const agreement = agreementAt(findCrossings(survey));
  if (agreement.crossings === 0 && groupsOf(work.ties).length === 0)
    return ['Crossings: none found, so it is unknown how well passes agree'];
  const order = orderKept(agreement.spread95, agreement.depth);
  const lines = [
    `Crossings: ${grouped(agreement.crossings)} of different passes${agreement.crossings === 0 ? '' : `; 95 % agree within ${length(agreement.spread95, units, 2)}, median difference ${length(agreement.median, units, 2)}`}`,
  ];
  if (agreement.crossings > 0)
    lines.push(
      `  For orientation only: ${order === undefined ? 'beyond the vertical limit of every order' : `within the vertical limit of ${order}`} of IHO S-44 at the mean depth of ${length(agreement.depth, units, 1)}`,
    );
  for (const { group, offset, ratio } of groupTies(work.ties)) {
    const { name } = nameOf(survey, group);
    lines.push(
      offset === undefined || ratio === undefined
        ? `  ${name}: nothing to compare it with`
        : `  ${name}: ${length(Math.abs(offset.size), units, 2)} ${offset.size < 0 ? 'shallower' : 'deeper'} than the rest, give or take ${length(2 * offset.sd, units, 2)}; ratio ${ratio.size.toFixed(2)}, give or take ${(2 * ratio.sd).toFixed(2)} (${grouped(offset.places)} places)`,
    );
  }
  return lines;
}

const WORDS = {
  good: 'good',
  sparse: 'passes too far apart',
  'one-pass': 'passes on one side only',
  edge: 'at the edge of what was sounded',
  none: 'no sonar',
} as const;

const wordsOf = ({ word, passes }: Coverage): string =>
  word === 'one-pass' && passes === 1 ? 'one pass only' : WORDS[word];

interface Covered {
  readonly waypoint: Waypoint;
  readonly coverage: Coverage;
  /** Chance that the passes missed a form at the waypoint, 0 to 1. */
  readonly missed: number;
}

const WORST_FIRST: readonly Coverage['word'][] = ['none', 'one-pass', 'edge', 'sparse'];

const weakOf = (covered: readonly Covered[]): Covered[] =>
  WORST_FIRST.flatMap((word) => covered.filter(({ coverage }) => coverage.word === word));

/** Returns well-covered marks where the passes may still have missed a form, likeliest first. */
const missedOf = (covered: readonly Covered[]): Covered[] =>
  covered
    .filter(({ coverage, missed }) => coverage.word === 'good' && isWorthAPass(missed))
    .sort((a, b) => b.missed - a.missed);

function coverageLines(covered: readonly Covered[], units: DisplayUnits): string[] {
  if (covered.length === 0) return ['Waypoints: none given'];
  const strong = covered.filter(({ coverage }) => coverage.word === 'good');
  const lines = [`Waypoints: ${covered.length}, ${strong.length} well covered`];
  for (const { waypoint, coverage } of weakOf(covered))
    lines.push(`  ${nameOfMark(waypoint)}: ${coverageWords(coverage, units)}`);
  const missed = missedOf(covered);
  for (const { waypoint, coverage, missed: chance } of missed)
    lines.push(
      `  ${nameOfMark(waypoint)}: ${coverageWords(coverage, units)}; ${oddsText(chance)} that they missed a form here`,
    );
  const sure = strong.filter((one) => !missed.includes(one));
  if (sure.length > 0) lines.push(`  good: ${sure.map(({ waypoint }) => nameOfMark(waypoint)).join(', ')}`);
  return lines;
}

function coverageWords(coverage: Coverage, units: DisplayUnits): string {
  const { soundings, passes, spacing, nearest } = coverage;
  const within = `within ${length(60, units)}`;
  if (soundings === 0) return `no sonar ${within}`;
  const on = passes === 1 ? 'one pass' : `${passes} passes`;
  const apart = passes > 1 && Number.isFinite(spacing) ? `, passes ${length(spacing, units)} apart` : '';
  return `${wordsOf(coverage)}; ${counted(soundings, 'sounding')} on ${on} ${within}${apart}, nearest ${length(nearest, units)}`;
}

function reasonOf({ coverage, missed }: Covered, units: DisplayUnits): string {
  if (coverage.word === 'sparse') return `passes ${length(coverage.spacing, units)} apart`;
  if (coverage.word === 'good') return `${oddsText(missed)} that a form was missed`;
  return wordsOf(coverage);
}

const courseOf = ({ from, bearing }: ProposedPass, date: string): string =>
  compassText(bearing, from[1], from[0], date);

function passLines(passes: readonly ProposedPass[], units: DisplayUnits, date: string): string[] {
  if (passes.length === 0) return ['Passes worth running: none'];
  const lines = [`Passes worth running: ${passes.length}`];
  for (const pass of passes) {
    const { waypoint, reason, from, to, length: meters } = pass;
    const place = ([lon, lat]: readonly [number, number]) => `${lat.toFixed(6)} ${lon.toFixed(6)}`;
    const what = waypoint === undefined ? reason : `${nameOfMark(waypoint)} (${reason})`;
    lines.push(
      `  ${what}: from ${place(from)} on ${courseOf(pass, date)} for ${length(meters, units)} to ${place(to)}`,
    );
  }
  return lines;
}

const nameOfMark = ({ name, index }: Waypoint): string => (name === '' ? `#${index + 1}` : name);

function formatRoutes(passes: readonly ProposedPass[], date: string): string {
  const numbers = new Map<number, number>();
  return formatRoutesGpx(
    passes.map((pass) => {
      const { waypoint, reason, from, to } = pass;
      const key = waypoint?.index ?? -1;
      const number = (numbers.get(key) ?? 0) + 1;
      numbers.set(key, number);
      const name = waypoint === undefined ? `TIE ${number}` : `${nameOfMark(waypoint)} P${number}`;
      const comment = `Run ${courseOf(pass, date)}: ${reason}`;
      return passRoute(name, comment, [from[1], from[0]], [to[1], to[0]]);
    }),
  );
}

type LatLonPair = readonly [lat: number, lon: number];

export const passRoute = (name: string, comment: string, from: LatLonPair, to: LatLonPair) => ({
  name,
  comment,
  points: [
    { name: `${name} start`, lat: from[0], lon: from[1] },
    { name: `${name} end`, lat: to[0], lon: to[1] },
  ],
});
