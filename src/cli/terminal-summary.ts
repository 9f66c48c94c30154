import type { Severity } from '../../shared/contract/diagnostic.ts';
import { inUnits } from '../../shared/contract/lengths.ts';
import type { EnrichedWaypoint } from '../../shared/contract/plugin.ts';
import type { DisplayUnits } from '../../shared/geo/units.ts';
import { padText, textWidth } from '../formats/table/display-width.ts';
import {
  bearingText,
  depthRange,
  depthText,
  lengthNumber,
  lengthText,
  percentOf,
} from '../formats/table/quantity.ts';

/** Columns that a terminal is taken to have at least. */
const LEAST_WIDTH = 60;

/** Spots whose warnings are listed below the table. */
const MOST_LISTED = 40;

/** What the soundings lack, by status: in the place of the structure, and in the count. */
const STATUS_WORDS: Readonly<Record<string, readonly [cell: string, count: string]>> = {
  sparse: ['few passes', 'with few passes'],
  'one-pass': ['one pass', 'with one pass only'],
  edge: ['one side only', 'sounded on one side only'],
  'no-data': ['no soundings', 'without soundings'],
};

/** A column: its cells by waypoint, and how willingly it goes when the terminal is narrow (0 stays). */
interface Column {
  readonly head: string;
  readonly alignRight?: boolean;
  readonly giveUp: number;
  cell(spot: EnrichedWaypoint): string;
}

/**
 * Table of all spots for the terminal: one line each, worst warnings first, then input order; below it what the
 * spots are warned about, in full sentences, and a count at the end.
 *
 * Marks in the first column: `x` refused, `!` warned about. Every line is at most `width` columns wide; columns that
 * do not fit are left out, the least needed first. Control characters of names never reach the terminal.
 *
 * @param width Terminal columns; less than 60 counts as 60.
 */
export function formatSummary(
  waypoints: readonly EnrichedWaypoint[],
  units: DisplayUnits,
  width: number,
): string {
  if (waypoints.length === 0) return 'No waypoints.\n';
  const spots = worstFirst(waypoints);
  const room = Math.max(LEAST_WIDTH, Math.floor(width));
  const columns = fitColumns(columnsOf(spots, units), spots, room);
  const rows = [
    columns.map((column) => column.head),
    ...spots.map((spot) => columns.map((c) => c.cell(spot))),
  ];
  const widths = columns.map((_, i) => Math.max(...rows.map((line) => textWidth(line[i]))));
  const table = rows.map((line) =>
    fitLine(line.map((cell, i) => padText(cell, widths[i], columns[i].alignRight)).join('  '), room),
  );
  const warnings = warningLines(spots, units, room);
  const parts = [table, ...(warnings.length === 0 ? [] : [warnings]), [countLine(waypoints, room)]];
  return `${parts.map((lines) => lines.join('\n')).join('\n\n')}\n`;
}

const RANK: Readonly<Record<Severity, number>> = {
  error: 0,
  warning: 1,
  note: 2,
};

/** Errors before warnings before the rest; among equals the spot with less data first, then input order. */
function worstFirst(waypoints: readonly EnrichedWaypoint[]): EnrichedWaypoint[] {
  return [...waypoints].sort(
    (a, b) =>
      severityRank(a) - severityRank(b) ||
      statusRank(a) - statusRank(b) ||
      a.waypoint.index - b.waypoint.index,
  );
}

/** Notes do not make a spot worse than one without. */
const severityRank = (spot: EnrichedWaypoint): number =>
  Math.min(RANK.note, ...spot.diagnostics.map((diagnostic) => RANK[diagnostic.severity]));

const STATUS_ORDER = ['no-data', 'one-pass', 'edge', 'sparse', 'ok'];
const statusRank = (spot: EnrichedWaypoint): number =>
  STATUS_ORDER.indexOf(String(spot.fields.status ?? 'no-data'));

function columnsOf(spots: readonly EnrichedWaypoint[], units: DisplayUnits): Column[] {
  const depth = (value: number | undefined) => (value === undefined ? '-' : depthText(value, units));
  const nameWidth = Math.min(24, Math.max(...spots.map((spot) => textWidth(spot.waypoint.name))));
  return [
    { head: ' ', giveUp: 0, cell: flag },
    {
      head: 'spot',
      giveUp: 0,
      cell: (spot) => fitLine(nameOf(spot), Math.max(12, nameWidth)),
    },
    {
      head: 'depth',
      alignRight: true,
      giveUp: 0,
      cell: ({ fields }) => depth(fields.depth),
    },
    { head: 'structure', giveUp: 0, cell: structureCell },
    { head: 'slope', alignRight: true, giveUp: 5, cell: slopeCell },
    {
      head: 'fish',
      alignRight: true,
      giveUp: 4,
      cell: (spot) => fishCell(spot, units),
    },
    {
      head: 'boat',
      alignRight: true,
      giveUp: 0,
      cell: (spot) => depth(castOf(spot)?.boat),
    },
    { head: 'cast', giveUp: 1, cell: (spot) => castCell(spot, units) },
    {
      head: 'lure',
      giveUp: 2,
      cell: (spot) => castOf(spot)?.lure?.replace(/(\d) ft\b/g, '$1ft') ?? '-',
    },
    { head: 'on bottom', giveUp: 3, cell: (spot) => contactCell(spot, units) },
  ];
}

const flag = (spot: EnrichedWaypoint): string => ['x', '!', ' '][severityRank(spot)];

function structureCell({ fields }: EnrichedWaypoint): string {
  if (fields.structure === undefined) return STATUS_WORDS[fields.status ?? '']?.[0] ?? '-';
  const confidence = fields.structure_confidence;
  return confidence === undefined ? fields.structure : `${fields.structure} ${percentOf(confidence)}%`;
}

const slopeCell = ({ fields }: EnrichedWaypoint): string =>
  fields.slope === undefined ? '-' : `${Math.round(fields.slope)}deg`;

const fishCell = ({ fields }: EnrichedWaypoint, units: DisplayUnits): string =>
  fields.fish_top === undefined || fields.fish_bottom === undefined
    ? '-'
    : depthRange(fields.fish_top, fields.fish_bottom, units);

/** The cast of a spot's line: from the deep side, else the shallow side, else the best next angle. */
interface ShownCast {
  readonly side: '' | 'shallow side' | 'next angle';
  /** Depth under the boat and at the landing, length of the cast and of contact, m; bearing true, deg. */
  readonly boat?: number;
  readonly landing?: number;
  readonly bearing: number;
  readonly cast: number;
  readonly contact?: number;
  readonly fishContact?: number;
  readonly lure?: string;
}

function castOf({ fields }: EnrichedWaypoint): ShownCast | undefined {
  if (fields.downslope_cast_true !== undefined && fields.downslope_cast !== undefined)
    return {
      side: '',
      boat: fields.downslope_depth,
      landing: fields.downslope_landing_depth,
      bearing: fields.downslope_cast_true,
      cast: fields.downslope_cast,
      contact: fields.downslope_contact,
      fishContact: fields.downslope_fish_contact,
      lure: fields.lure,
    };
  const plan = fields.upslope ?? fields.angles?.[0];
  if (plan === undefined) return undefined;
  const side = fields.upslope === undefined ? 'next angle' : 'shallow side';
  return { ...plan, side, boat: plan.boat.depth, landing: plan.landing.depth };
}

function castCell(spot: EnrichedWaypoint, units: DisplayUnits): string {
  const shown = castOf(spot);
  if (shown === undefined) return '-';
  const bearing = bearingText(shown.bearing, 'M', spot.fields.declination);
  const to = shown.landing === undefined ? '' : ` to ${depthText(shown.landing, units)}`;
  const side = shown.side === '' ? '' : ` (${shown.side})`;
  return `${bearing} ${lengthText(shown.cast, units)}${to}${side}`;
}

/** Length on bottom inside the fish band, of the length on bottom. */
function contactCell(spot: EnrichedWaypoint, units: DisplayUnits): string {
  const { contact, fishContact } = castOf(spot) ?? {};
  if (contact === undefined) return '-';
  const whole = lengthText(contact, units);
  return fishContact === undefined ? whole : `${whole}, ${lengthNumber(fishContact, units)} in fish`;
}

const nameOf = ({ waypoint }: EnrichedWaypoint): string => waypoint.name || `(no name ${waypoint.index + 1})`;

/** One paragraph for each spot that is refused or warned about: what was said, worst first, notes left out. */
function warningLines(spots: readonly EnrichedWaypoint[], units: DisplayUnits, room: number): string[] {
  const warned = spots.filter((spot) => severityRank(spot) < RANK.note);
  const listed = warned.slice(0, MOST_LISTED).map((spot) => {
    const said = spot.diagnostics
      .filter(({ severity }) => severity !== 'note')
      .sort((a, b) => RANK[a.severity] - RANK[b.severity])
      .map(({ message }) => inUnits(message, units));
    const text = padText(`${nameOf(spot)}: ${[...new Set(said)].join(' ')}`, 0);
    return `${flag(spot)}  ${wrap(text, room - 3).replaceAll('\n', '\n   ')}`;
  });
  const rest = warned.length - listed.length;
  return rest === 0
    ? listed
    : [...listed, `   ${rest} more spots are warned about; --json lists everything.`];
}

/** Leaves out columns, the least needed first, until the others fit. */
function fitColumns(columns: readonly Column[], spots: readonly EnrichedWaypoint[], room: number): Column[] {
  const widthOf = (column: Column) =>
    Math.max(textWidth(column.head), ...spots.map((s) => textWidth(column.cell(s))));
  const kept = columns.map((column) => ({ column, width: widthOf(column) }));
  const total = () => kept.reduce((sum, each) => sum + each.width + 2, -2);
  while (total() > room) {
    const most = Math.max(...kept.map((each) => each.column.giveUp));
    if (most === 0) break;
    kept.splice(
      kept.findIndex((each) => each.column.giveUp === most),
      1,
    );
  }
  return kept.map((each) => each.column);
}

/** Text cut to a width, `..` at the cut; no trailing space. */
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

/** `300 spots: 240 with a deep-side cast; 30 with few passes; ...`. */
function countLine(waypoints: readonly EnrichedWaypoint[], room: number): string {
  const planned = waypoints.filter(({ fields }) => fields.downslope_lat !== undefined).length;
  const parts = [`${planned} with a deep-side cast`];
  for (const [status, [, words]] of Object.entries(STATUS_WORDS)) {
    const count = waypoints.filter(({ fields }) => fields.status === status).length;
    if (count > 0) parts.push(`${count} ${words}`);
  }
  const warned = waypoints.filter((spot) => severityRank(spot) < RANK.note).length;
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
