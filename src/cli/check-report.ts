import type { Diagnostic } from '../../shared/contract/diagnostic.ts';
import { inUnits } from '../../shared/contract/lengths.ts';
import type { LogSummary, SoundingIndex, Survey } from '../../shared/contract/soundings.ts';
import type { Waypoint } from '../../shared/contract/waypoint.ts';
import { type DisplayUnits, fromMeters } from '../../shared/geo/units.ts';
import { type Agreement, judgeAgreement } from '../../shared/survey/agreement.ts';
import { type Coverage, coverageAt } from '../../shared/survey/coverage.ts';
import { findCrossings } from '../../shared/survey/crossings.ts';
import { dayName, dayNumber } from '../../shared/survey/days.ts';
import { proposePasses } from '../../shared/survey/proposed-passes.ts';
import { orderKept } from '../../shared/survey/s44.ts';
import { formatRoutes } from './check-routes.ts';

/** What `downslope check` looks at. */
export interface CheckInput {
  readonly survey: Survey;
  readonly index: SoundingIndex;
  readonly waypoints: readonly Waypoint[];
  /** Everything readers and plugins said. */
  readonly diagnostics: readonly Diagnostic[];
  /** Logs that were refused. */
  readonly leftOut?: readonly string[];
  readonly units: DisplayUnits;
}

/** A pass worth running: position, direction and length, for one weak waypoint. */
export interface ProposedPass {
  readonly waypoint: Waypoint;
  readonly reason: string;
  /** Ends of the pass, deg. */
  readonly from: readonly [lon: number, lat: number];
  readonly to: readonly [lon: number, lat: number];
  /** True bearing from `from` to `to`, deg, [0, 360). */
  readonly bearing: number;
  /** m */
  readonly length: number;
}

export interface CheckReport {
  /** Lines for the person, ready to print. */
  readonly text: string;
  readonly passes: readonly ProposedPass[];
  /** GPX 1.1 with one route per proposed pass. */
  readonly routes: string;
}

/** What was read and dropped, how well it agrees, and how well it covers each waypoint. */
export function checkReport(input: CheckInput): CheckReport {
  const { survey, index, waypoints, units } = input;
  const covered = waypoints.map((waypoint) => ({
    waypoint,
    coverage: coverageAt(survey, index, waypoint.lat, waypoint.lon),
  }));
  const passes = covered.flatMap(({ waypoint, coverage }) =>
    proposePasses(waypoint.lat, waypoint.lon, coverage).map((line) => ({
      waypoint,
      reason: reasonOf(coverage, units),
      ...line,
    })),
  );
  const sections = [
    [...logLines(survey.logs), ...leftOutLines(input.leftOut ?? [], input.diagnostics, units)],
    dayLines(survey, units),
    levelLines(input.diagnostics, units),
    agreementLines(judgeAgreement(survey, findCrossings(survey)), units),
    coverageLines(covered, units),
    passLines(passes, units),
  ];
  const text = sections.map((lines) => lines.join('\n')).join('\n\n');
  return { text, passes, routes: formatRoutes(passes) };
}

const count = (n: number): string =>
  Math.round(n)
    .toString()
    .replace(/\B(?=(\d{3})+$)/g, ',');
const length = (meters: number, units: DisplayUnits, decimals = 0): string =>
  Number.isFinite(meters) ? `${fromMeters(meters, units).toFixed(decimals)} ${units}` : 'none';

function logLines(logs: readonly LogSummary[]): string[] {
  const lines = [`Logs: ${logs.length}`];
  for (const { file, account } of logs) {
    const reasons = Object.entries(account.dropped).filter(([, rows]) => rows > 0);
    const dropped = reasons.reduce((sum, [, rows]) => sum + rows, 0);
    lines.push(
      `  ${file}: ${count(account.read)} rows read, ${count(account.used)} used, ${count(dropped)} dropped`,
    );
    for (const [reason, rows] of reasons)
      lines.push(`    ${count(rows)} ${reason.replace(/^.*\//, '').replaceAll('-', ' ')}`);
  }
  return lines;
}

function leftOutLines(
  leftOut: readonly string[],
  diagnostics: readonly Diagnostic[],
  units: DisplayUnits,
): string[] {
  if (leftOut.length === 0) return [];
  const lines = [`Logs left out: ${leftOut.length}`];
  for (const file of leftOut) {
    const reason = diagnostics.find(
      ({ place, severity }) => severity === 'error' && place?.file?.startsWith(file),
    );
    lines.push(`  ${file}: ${reason === undefined ? 'see above' : inUnits(reason.message, units)}`);
  }
  return lines;
}

function dayLines(survey: Survey, units: DisplayUnits): string[] {
  const days = new Map<number, { rows: number; least: number; most: number }>();
  let undated = 0;
  for (let i = 0; i < survey.count; i++) {
    const day = dayNumber(survey.time[i]);
    if (day < 0) {
      undated += survey.weight[i];
      continue;
    }
    const entry = days.get(day) ?? { rows: 0, least: Number.POSITIVE_INFINITY, most: 0 };
    entry.rows += survey.weight[i];
    entry.least = Math.min(entry.least, survey.shallowest[i]);
    entry.most = Math.max(entry.most, survey.depth[i]);
    days.set(day, entry);
  }
  const lines = [
    `Days (UTC): ${days.size}${undated > 0 ? `, and ${count(undated)} soundings without a day` : ''}`,
  ];
  for (const [day, { rows, least, most }] of [...days].sort(([a], [b]) => a - b)) {
    lines.push(
      `  ${dayName(day)}: ${count(rows)} soundings, ${length(least, units, 1)} to ${length(most, units, 1)}`,
    );
  }
  return lines;
}

function levelLines(diagnostics: readonly Diagnostic[], units: DisplayUnits): string[] {
  const said = diagnostics.filter(({ code }) => LEVEL_CODES.includes(code));
  if (said.length === 0)
    return ['Water levels: none given; every sounding counts as taken on the level of the plan'];
  return [
    'Water levels:',
    ...said.map(
      ({ place, message }) =>
        `  ${place?.file === undefined ? '' : `${place.file}: `}${inUnits(message, units)}`,
    ),
  ];
}

const LEVEL_CODES = ['water-level', 'level-unknown', 'level-outside', 'level-today'].map(
  (code) => `soundings/${code}`,
);

function agreementLines(agreement: Agreement, units: DisplayUnits): string[] {
  if (agreement.crossings === 0) return ['Crossings: none found; nothing says how well passes agree'];
  const order = orderKept(agreement.spread95, agreement.depth);
  const lines = [
    `Crossings: ${count(agreement.crossings)} of different passes; 95 % agree within ${length(agreement.spread95, units, 2)}, median difference ${length(agreement.median, units, 2)}`,
    `  For orientation only: ${order === undefined ? 'beyond the vertical limit of every order' : `within the vertical limit of ${order}`} of IHO S-44 at the mean depth of ${length(agreement.depth, units, 1)}`,
  ];
  for (const group of agreement.groups) {
    const { name, crossings, difference, suspicion } = group;
    const cause =
      suspicion === undefined
        ? ''
        : suspicion.kind === 'unit'
          ? `: unit mismatch suspected (${suspicion.unit})`
          : ': constant offset suspected (water level or draft)';
    lines.push(
      `  ${name}: ${count(crossings)} crossings with others, median difference ${length(difference, units, 2)}${cause}`,
    );
  }
  return lines;
}

const WORDS = {
  good: 'good',
  sparse: 'passes too far apart',
  'one-pass': 'passes on one side or one pass only',
  edge: 'at the edge of what was sounded',
  none: 'no soundings',
} as const;

interface Covered {
  readonly waypoint: Waypoint;
  readonly coverage: Coverage;
}

function coverageLines(covered: readonly Covered[], units: DisplayUnits): string[] {
  if (covered.length === 0) return ['Waypoints: none given'];
  const strong = covered.filter(({ coverage }) => coverage.word === 'good').length;
  const lines = [`Waypoints: ${covered.length}, ${strong} well covered`];
  for (const { waypoint, coverage } of covered) {
    lines.push(
      `  ${waypoint.name === '' ? `#${waypoint.index + 1}` : waypoint.name}: ${coverageWords(coverage, units)}`,
    );
  }
  return lines;
}

function coverageWords(coverage: Coverage, units: DisplayUnits): string {
  const { soundings, passes, spacing, nearest } = coverage;
  const within = `within ${length(60, units)}`;
  if (soundings === 0) return `no soundings ${within}`;
  const on = passes === 1 ? 'one pass' : `${passes} passes`;
  const apart = passes > 1 && Number.isFinite(spacing) ? `, passes ${length(spacing, units)} apart` : '';
  return `${WORDS[coverage.word]}; ${count(soundings)} soundings on ${on} ${within}${apart}, nearest ${length(nearest, units)}`;
}

function reasonOf(coverage: Coverage, units: DisplayUnits): string {
  if (coverage.word === 'sparse') return `passes ${length(coverage.spacing, units)} apart`;
  return WORDS[coverage.word];
}

function passLines(passes: readonly ProposedPass[], units: DisplayUnits): string[] {
  if (passes.length === 0) return ['Passes worth running: none'];
  const lines = [`Passes worth running: ${passes.length}`];
  for (const { waypoint, reason, from, to, bearing, length: meters } of passes) {
    const place = ([lon, lat]: readonly [number, number]) => `${lat.toFixed(6)} ${lon.toFixed(6)}`;
    lines.push(
      `  ${waypoint.name === '' ? `#${waypoint.index + 1}` : waypoint.name} (${reason}): from ${place(from)} on ${Math.round(bearing) % 360} deg true for ${length(meters, units)} to ${place(to)}`,
    );
  }
  return lines;
}
