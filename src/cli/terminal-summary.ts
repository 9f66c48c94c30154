import { sortBy } from 'es-toolkit/array';
import {
  bySeverity,
  type CastPlan,
  type DisplayUnits,
  type EnrichedWaypoint,
  inUnits,
  SEVERITIES,
} from '../../shared/contract/index.ts';
import { rankCasts } from '../../shared/retrieve/index.ts';
import {
  angleName,
  bearingsOf,
  depthRange,
  depthText,
  isProposed,
  lengthNumber,
  lengthText,
  percentOf,
  sideName,
} from '../../shared/text/index.ts';
import { padText, textWidth } from '../formats/table/index.ts';
import type { ResolvedCommand } from './resolve-command.ts';

/** Width of the table, in terminal columns, when the width of the terminal is unknown. */
const WIDTH = 110;
/** Minimum width of the table, in terminal columns. */
const MIN_WIDTH = 60;

/** Maximum number of warning paragraphs below the table. */
const MAX_LISTED = 40;
/** Maximum number of spots named in one paragraph. */
const MAX_NAMES = 8;

/** Texts for a status: in the structure column, and in the last line. */
const STATUS_WORDS: Readonly<Record<string, readonly [cell: string, count: string]>> = {
  sparse: ['few passes', 'with few passes'],
  'one-pass': ['one line', 'with one line of sonar'],
  edge: ['one side only', 'sounded on one side only'],
  'no-data': ['no sonar', 'without sonar'],
};

/** A column of the table. The one with the highest `giveUp` is left out first; one with 0 always stays. */
interface Column {
  readonly head: string;
  readonly alignRight?: boolean;
  readonly giveUp: number;
  cell(spot: EnrichedWaypoint): string;
}

export const noteSpots = ({ io, units }: ResolvedCommand, spots: readonly EnrichedWaypoint[]): void =>
  io.note(formatSummary(spots, units, process.stderr.columns ?? WIDTH));

/**
 * Formats a table with one line per spot, then the warnings in full sentences, then a line of counts.
 *
 * The first column has `x` for a refused spot and `!` for a warning. Columns of the table that do not fit
 * into `width` are left out, the least needed first. Control characters in names never reach the terminal.
 *
 * @param width Terminal columns; a value below 60 counts as 60.
 */
export function formatSummary(
  waypoints: readonly EnrichedWaypoint[],
  units: DisplayUnits,
  width: number,
): string {
  if (waypoints.length === 0) return 'No waypoints.\n';
  // Spots with errors come first, then spots with warnings. In each group, spots with less data come first.
  const spots = sortBy(waypoints, [severityRank, statusRank, ({ waypoint }) => waypoint.index]);
  const room = Math.max(MIN_WIDTH, Math.floor(width));
  const columns = fitColumns(columnsOf(spots, units), spots, room);
  const rows = [columns.map(({ head }) => head), ...spots.map((spot) => columns.map((c) => c.cell(spot)))];
  const widths = columns.map((_, i) => Math.max(...rows.map((line) => textWidth(line[i]))));
  const table = rows.map((line) =>
    fitLine(line.map((cell, i) => padText(cell, widths[i], columns[i].alignRight)).join('  '), room),
  );
  const warnings = warningLines(spots, units, room);
  const parts = [table, ...(warnings.length === 0 ? [] : [warnings]), [countLine(waypoints, room)]];
  return `${parts.map((lines) => lines.join('\n')).join('\n\n')}\n`;
}

/** Rank of a spot with no diagnostics, or with notes only. */
const HARMLESS = SEVERITIES.indexOf('note');

const severityRank = (spot: EnrichedWaypoint): number =>
  Math.min(HARMLESS, ...spot.diagnostics.map(({ severity }) => SEVERITIES.indexOf(severity)));

const STATUS_ORDER = ['no-data', 'one-pass', 'edge', 'sparse', 'ok'];
const statusRank = (spot: EnrichedWaypoint): number =>
  STATUS_ORDER.indexOf(String(spot.fields.status ?? 'no-data'));

function columnsOf(spots: readonly EnrichedWaypoint[], units: DisplayUnits): Column[] {
  const depth = (value: number | undefined) => (value === undefined ? '-' : depthText(value, units));
  const nameWidth = Math.min(24, Math.max(...spots.map((spot) => textWidth(spot.waypoint.name))));
  return [
    { head: ' ', giveUp: 0, cell: flag },
    { head: 'spot', giveUp: 0, cell: (spot) => fitLine(nameOf(spot), Math.max(12, nameWidth)) },
    { head: 'depth', alignRight: true, giveUp: 0, cell: ({ fields }) => depth(fields.depth) },
    { head: 'structure', giveUp: 0, cell: structureCell },
    { head: 'slope', alignRight: true, giveUp: 5, cell: slopeCell },
    { head: 'fish', alignRight: true, giveUp: 4, cell: (spot) => fishCell(spot, units) },
    { head: 'boat', alignRight: true, giveUp: 0, cell: (spot) => depth(castOf(spot)?.boat.depth) },
    { head: 'cast', giveUp: 1, cell: (spot) => castCell(spot, units) },
    { head: 'lure', giveUp: 2, cell: (spot) => castOf(spot)?.lure.replace(/(\d) ft\b/g, '$1ft') ?? '-' },
    { head: 'on bottom (fish)', giveUp: 3, cell: (spot) => contactCell(spot, units) },
  ];
}

const flag = (spot: EnrichedWaypoint): string => ['x', '!', ' '][severityRank(spot)];

function structureCell({ fields, waypoint }: EnrichedWaypoint): string {
  const fished = isProposed(waypoint) ? ', not fished' : '';
  if (fields.structure === undefined) return `${STATUS_WORDS[fields.status ?? '']?.[0] ?? '-'}${fished}`;
  const confidence = fields.structure_confidence;
  return `${fields.structure}${confidence === undefined ? '' : ` ${percentOf(confidence)}%`}${fished}`;
}

const slopeCell = ({ fields }: EnrichedWaypoint): string =>
  fields.slope === undefined ? '-' : `${Math.round(fields.slope)}deg`;

const fishCell = ({ fields }: EnrichedWaypoint, units: DisplayUnits): string =>
  fields.fish_top === undefined || fields.fish_bottom === undefined
    ? '-'
    : fields.fish_source === 'depth'
      ? 'at mark'
      : depthRange(fields.fish_top, fields.fish_bottom, units);

const castOf = ({ fields }: EnrichedWaypoint): CastPlan | undefined => rankCasts(fields)[0];

function castCell(spot: EnrichedWaypoint, units: DisplayUnits): string {
  const { fields } = spot;
  const plan = castOf(spot);
  if (plan === undefined) return '-';
  const isSide = plan === fields.downslope || plan === fields.upslope;
  const name = isSide ? sideName(plan, fields) : `next angle, ${angleName(plan)}`;
  const where = plan.kind === 'downslope' ? '' : ` (${name})`;
  const bearings = bearingsOf(plan, 'M', fields.declination);
  return `${bearings} ${lengthText(plan.cast, units)} to ${depthText(plan.landing.depth, units)}${where}`;
}

/**
 * Describes the length of retrieve on bottom, then its part among the fish with the standard deviation. For a
 * lure off bottom, only the length among the fish is given.
 */
function contactCell(spot: EnrichedWaypoint, units: DisplayUnits): string {
  const plan = castOf(spot);
  if (plan === undefined) return '-';
  if (plan.isSuspended) return `${lengthText(plan.worth, units)} off bottom`;
  const sd = lengthNumber(plan.fishContactSd, units);
  const spread = sd === '0' ? '' : `+-${sd}`;
  return `${lengthText(plan.contact, units)} (${lengthNumber(plan.fishContact, units)}${spread})`;
}

const nameOf = ({ waypoint }: EnrichedWaypoint): string => waypoint.name || `(no name ${waypoint.index + 1})`;

/**
 * Lists the errors and warnings of all spots. Messages shared by several spots come first, each once with the
 * names of the spots. Then one paragraph per spot has its other messages.
 */
function warningLines(spots: readonly EnrichedWaypoint[], units: DisplayUnits, room: number): string[] {
  const said = spots.map((spot) => ({ spot, messages: warningsOf(spot, units) }));
  const touched = new Map<string, EnrichedWaypoint[]>();
  for (const { spot, messages } of said)
    for (const message of messages) touched.set(message, [...(touched.get(message) ?? []), spot]);
  const shared = [...touched].filter(([, group]) => group.length > 1);
  const single = said.flatMap(({ spot, messages }) => {
    const own = messages.filter((message) => touched.get(message)!.length === 1);
    return own.length === 0 ? [] : [[own.join(' '), [spot]] as const];
  });
  const all = [...shared, ...single];
  const listed = all.slice(0, MAX_LISTED).map(([text, group]) => {
    const names = group.slice(0, MAX_NAMES).map(nameOf).join(', ');
    const more = group.length > MAX_NAMES ? ` and ${group.length - MAX_NAMES} more` : '';
    const paragraph = wrap(padText(`${names}${more}: ${text}`, 0), room - 3).replaceAll('\n', '\n   ');
    return `${flag(group[0])}  ${paragraph}`;
  });
  const rest = all.length - listed.length;
  return rest === 0
    ? listed
    : [...listed, `   ${rest} more ${rest === 1 ? 'is' : 'are'} not shown; --json lists everything.`];
}

function warningsOf({ diagnostics }: EnrichedWaypoint, units: DisplayUnits): string[] {
  const warnings = diagnostics.filter(({ severity }) => severity !== 'note').sort(bySeverity);
  return [...new Set(warnings.map(({ message }) => inUnits(message, units)))];
}

function fitColumns(columns: readonly Column[], spots: readonly EnrichedWaypoint[], room: number): Column[] {
  const widthOf = (column: Column) =>
    Math.max(textWidth(column.head), ...spots.map((s) => textWidth(column.cell(s))));
  const kept = columns.map((column) => ({ column, width: widthOf(column) }));
  const total = () => kept.reduce((sum, each) => sum + each.width + 2, -2);
  while (total() > room) {
    const ranks = kept.map((each) => each.column.giveUp);
    const most = Math.max(...ranks);
    if (most === 0) break;
    kept.splice(ranks.indexOf(most), 1);
  }
  return kept.map((each) => each.column);
}

function fitLine(line: string, room: number): string {
  const text = padText(line.trimEnd(), 0);
  if (textWidth(text) <= room) return text;
  let cut = '';
  for (const letter of text) {
    if (textWidth(cut + letter) > room - 2) break;
    cut += letter;
  }
  return `${cut.trimEnd()}..`;
}

/** Counts spots: `300 spots: 260 with a cast, 240 from the deep side; 30 with few passes.` */
function countLine(waypoints: readonly EnrichedWaypoint[], room: number): string {
  const first = waypoints.map(castOf).filter((plan) => plan !== undefined);
  const deep = first.filter(({ kind }) => kind === 'downslope').length;
  const parts = [`${first.length} with a cast${deep === 0 ? '' : `, ${deep} from the deep side`}`];
  for (const [status, [, words]] of Object.entries(STATUS_WORDS)) {
    const count = waypoints.filter(({ fields }) => fields.status === status).length;
    if (count > 0) parts.push(`${count} ${words}`);
  }
  const warned = waypoints.filter((spot) => severityRank(spot) < HARMLESS).length;
  if (warned > 0) parts.push(`${warned} warned about`);
  const noun = waypoints.length === 1 ? 'spot' : 'spots';
  return wrap(`${waypoints.length} ${noun}: ${parts.join('; ')}.`, room);
}

function wrap(text: string, room: number): string {
  const lines: string[] = [];
  for (const word of text.split(' ')) {
    const last = lines.at(-1);
    if (last !== undefined && textWidth(last) + 1 + textWidth(word) <= room)
      lines[lines.length - 1] = `${last} ${word}`;
    else lines.push(word);
  }
  return lines.join('\n');
}
