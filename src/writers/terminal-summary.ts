import type { EnrichedWaypoint } from '../../shared/contract/plugin.ts';
import type { Diagnostic, Severity } from '../../shared/diagnostics/diagnostic.ts';
import type { DisplayUnits } from '../../shared/units.ts';
import { padText, textWidth } from './display-width.ts';
import { bearingText, depthRange, depthText, lengthNumber, lengthText, percentOf } from './quantity.ts';

/** Columns that a terminal is taken to have at least. */
const LEAST_WIDTH = 60;

/** Columns that the note gets before other columns do. */
const NOTE_ROOM = 14;

/** What a status other than `ok` means for the plan, in words. */
const STATUS_WORDS: Readonly<Record<string, string>> = {
  sparse: 'few passes: no structure',
  'one-pass': 'one pass: no slope',
  edge: 'soundings on one side only',
  'no-data': 'no soundings here',
};

/** A column: its cells by waypoint, and how willingly it goes when the terminal is narrow (0 stays). */
interface Column {
  readonly head: string;
  readonly alignRight?: boolean;
  readonly giveUp: number;
  cell(spot: EnrichedWaypoint): string;
}

/**
 * Table of all spots for the terminal: one line each, worst warnings first, then input order; a count at the end.
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
  const lines = [
    columns.map((column) => column.head),
    ...spots.map((spot) => columns.map((c) => c.cell(spot))),
  ];
  const widths = columns.map((_, i) => Math.max(...lines.map((line) => textWidth(line[i]))));
  const table = lines.map((line) =>
    fitLine(line.map((cell, i) => padText(cell, widths[i], columns[i].alignRight)).join('  '), room),
  );
  return `${table.join('\n')}\n\n${countLine(waypoints, room)}\n`;
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
      cell: ({ waypoint }) =>
        fitLine(waypoint.name || `(no name ${waypoint.index + 1})`, Math.max(12, nameWidth)),
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
      cell: ({ fields }) => depth(fields.downslope_depth),
    },
    { head: 'cast', giveUp: 1, cell: (spot) => castCell(spot, units) },
    {
      head: 'lure',
      giveUp: 2,
      cell: ({ fields }) => fields.lure?.replace(/(\d) ft\b/g, '$1ft') ?? '-',
    },
    { head: 'on bottom', giveUp: 3, cell: (spot) => contactCell(spot, units) },
    { head: 'note', giveUp: 0, cell: noteCell },
  ];
}

const flag = (spot: EnrichedWaypoint): string => ['x', '!', ' '][severityRank(spot)];

function structureCell({ fields }: EnrichedWaypoint): string {
  if (fields.structure === undefined) return '-';
  const confidence = fields.structure_confidence;
  return confidence === undefined ? fields.structure : `${fields.structure} ${percentOf(confidence)}%`;
}

const slopeCell = ({ fields }: EnrichedWaypoint): string =>
  fields.slope === undefined ? '-' : `${Math.round(fields.slope)}deg`;

const fishCell = ({ fields }: EnrichedWaypoint, units: DisplayUnits): string =>
  fields.fish_top === undefined || fields.fish_bottom === undefined
    ? '-'
    : depthRange(fields.fish_top, fields.fish_bottom, units);

function castCell({ fields }: EnrichedWaypoint, units: DisplayUnits): string {
  if (fields.downslope_cast_true === undefined || fields.downslope_cast === undefined) return '-';
  const bearing = bearingText(fields.downslope_cast_true, 'M', fields.declination);
  const to = fields.downslope_landing_depth;
  return `${bearing} ${lengthText(fields.downslope_cast, units)}${to === undefined ? '' : ` to ${depthText(to, units)}`}`;
}

/** Length on bottom inside the fish band, of the length on bottom. */
function contactCell({ fields }: EnrichedWaypoint, units: DisplayUnits): string {
  if (fields.downslope_contact === undefined) return '-';
  const whole = lengthText(fields.downslope_contact, units);
  const fish = fields.downslope_fish_contact;
  return fish === undefined ? whole : `${whole}, ${lengthNumber(fish, units)} in fish`;
}

/** What the soundings lack, then what was said, worst first, each once: codes as words, the area left out. */
function noteCell({ fields, diagnostics }: EnrichedWaypoint): string {
  const words = STATUS_WORDS[fields.status ?? ''];
  const said = [...diagnostics]
    .filter((diagnostic) => diagnostic.severity !== 'note')
    .sort((a, b) => RANK[a.severity] - RANK[b.severity])
    .map((diagnostic: Diagnostic) => diagnostic.code.replace(/^.*\//, '').replaceAll('-', ' '));
  return [...(words === undefined ? [] : [words]), ...new Set(said)].join('; ');
}

/** Leaves out columns, the least needed first, until the note has room for a few words. */
function fitColumns(columns: readonly Column[], spots: readonly EnrichedWaypoint[], room: number): Column[] {
  const noteRoom = Math.min(NOTE_ROOM, Math.max(4, ...spots.map((spot) => textWidth(noteCell(spot)))));
  const widthOf = (column: Column) =>
    column.head === 'note'
      ? noteRoom
      : Math.max(textWidth(column.head), ...spots.map((s) => textWidth(column.cell(s))));
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

/** `300 spots: 240 with a deep-side cast; 30 few passes: no structure; ...`. */
function countLine(waypoints: readonly EnrichedWaypoint[], room: number): string {
  const planned = waypoints.filter(({ fields }) => fields.downslope_lat !== undefined).length;
  const parts = [`${planned} with a deep-side cast`];
  for (const [status, words] of Object.entries(STATUS_WORDS)) {
    const count = waypoints.filter(({ fields }) => fields.status === status).length;
    if (count > 0) parts.push(`${count} ${words.replace(/:.*/, '')}`);
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
    if (last !== undefined && last.length + 1 + word.length <= room)
      lines[lines.length - 1] = `${last} ${word}`;
    else lines.push(word);
  }
  return lines.join('\n');
}
