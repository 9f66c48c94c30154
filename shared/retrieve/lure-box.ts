import { uniq } from 'es-toolkit/array';
import {
  type CsvFile,
  type Diagnostic,
  fromMeters,
  type LengthUnit,
  METERS_PER,
  toMeters,
} from '../contract/index.ts';
import { parseLine } from './line.ts';
import { type LengthFound, lureBoxMessages as say } from './lure-box-messages.ts';
import {
  type Calibration,
  calibrate,
  DEEPEST_LABEL,
  dragOfLabel,
  type Lure,
  type Observation,
  SHALLOWEST_LABEL,
} from './lures.ts';
import { LONGEST_CAST } from './retrieve.ts';

type Row = CsvFile['rows'][number];

interface Entry {
  readonly line: number;
  readonly name: string;
  /** Labeled depth, ft. */
  readonly label: number;
  readonly observations: { readonly line: number; readonly seen: Observation }[];
}

/** Minimum cast of an observation, m. */
const SHORTEST_CAST = 5;

/**
 * Reads the user's own lures from a CSV file with the columns `name,label_ft` and, for observations,
 * `reaches_ft,cast_m,line_lb`: "touched bottom at 17 ft on a 45 m cast with 12 lb".
 *
 * The suffix of a column may name another unit (`reaches_m`, `cast_yd`, `line_kg`). A second row with the
 * same name and label adds a second observation.
 *
 * @returns Lures by labeled depth, shallowest first, and errors. After any error, the lures must not be used.
 */
export function readLureBox(file: CsvFile): { lures: Lure[]; problems: Diagnostic[] } {
  const problems: Diagnostic[] = [];
  const missing = (['name', 'label_ft'] as const).filter(
    (column) => columnOf(file, column.split('_')[0]) === undefined,
  );
  if (missing.length > 0)
    return { lures: [], problems: [say.columns({ file: file.file, line: 1 }, file.header, missing)] };
  const units = Object.entries(UNITS).flatMap(([idea, known]) => unitProblem(file, idea, known));
  if (units.length > 0) return { lures: [], problems: units };
  const entries = new Map<string, Entry>();
  for (const row of file.rows) collect(file, row, entries, problems);
  if (entries.size === 0 && problems.length === 0) problems.push(say.empty({ file: file.file }));
  const lures = [...entries.values()].flatMap((entry) => lureOf(file, entry, problems) ?? []);
  return { lures: lures.sort((a, b) => a.label - b.label), problems };
}

function collect(file: CsvFile, row: Row, entries: Map<string, Entry>, problems: Diagnostic[]): void {
  const place = { file: file.file, line: row.line };
  const name = cellOf(file, row, 'name').text;
  if (name === '') return void problems.push(say.name(place));
  const cell = cellOf(file, row, 'label');
  const label = cell.meters / METERS_PER.ft;
  if (!(label >= SHALLOWEST_LABEL && label <= DEEPEST_LABEL))
    return void problems.push(
      say.label(
        place,
        cell,
        ...within(cell, SHALLOWEST_LABEL * METERS_PER.ft, DEEPEST_LABEL * METERS_PER.ft),
      ),
    );
  const entry = entries.get(name) ?? { line: row.line, name, label, observations: [] };
  entries.set(name, entry);
  if (entry.label !== label) return void problems.push(say['label-differs'](place, name, entry.line));
  const seen = observationOf(file, row, problems);
  if (seen === undefined) return;
  if (entry.observations.length === 2) return void problems.push(say.observations(place, name));
  entry.observations.push({ line: row.line, seen });
}

/** Reads the observation of a row, which has to fill all three columns or none; reports what is wrong. */
function observationOf(file: CsvFile, row: Row, problems: Diagnostic[]): Observation | undefined {
  const place = { file: file.file, line: row.line };
  const cells = ['reaches', 'cast', 'line'].map((column) => cellOf(file, row, column));
  const [reaches, cast, { text: lineText, unit }] = cells;
  const given = cells.filter(({ text }) => text !== '').length;
  if (given === 0) return undefined;
  if (given < 3) return void problems.push(say.observation(place));
  // A number without a unit takes the unit of the header.
  const line = parseLine(/^[\d.]+$/.test(lineText) ? `${lineText}${unit}` : lineText);
  if (!(reaches.meters > 0)) return void problems.push(say.reaches(place, reaches));
  if (!(cast.meters >= SHORTEST_CAST && cast.meters <= LONGEST_CAST))
    return void problems.push(say.cast(place, cast, ...within(cast, SHORTEST_CAST, LONGEST_CAST)));
  if (line === undefined) return void problems.push(say.line(place, lineText));
  return { depth: reaches.meters, cast: cast.meters, line };
}

function lureOf(file: CsvFile, entry: Entry, problems: Diagnostic[]): Lure | undefined {
  const seen = entry.observations.map((observation) => observation.seen);
  const base = { name: entry.name, label: entry.label * METERS_PER.ft };
  if (seen.length === 0) return { ...base, drag: dragOfLabel(entry.label), isCalibrated: false };
  const found = calibrate(entry.label, seen);
  if ('drag' in found) return { ...base, drag: found.drag, isCalibrated: true };
  problems.push(problemOf(file, entry, found));
  return undefined;
}

function problemOf(file: CsvFile, entry: Entry, found: Exclude<Calibration, { drag: unknown }>): Diagnostic {
  const lineOf = (seen: Observation): number =>
    entry.observations.find((observation) => observation.seen === seen)?.line ?? entry.line;
  const shown = (idea: string, decimals: number) => {
    const unit = unitOf(idea, columnOf(file, idea)!) as LengthUnit;
    return (meters: number): string => `${fromMeters(meters, unit).toFixed(decimals)} ${unit}`;
  };
  const [depth, cast] = [shown('reaches', 1), shown('cast', 0)];
  if ('impossible' in found) {
    const { impossible: seen, least, most } = found;
    const place = { file: file.file, line: lineOf(seen) };
    return say.impossible(place, entry.name, depth(seen.depth), cast(seen.cast), depth(least), depth(most));
  }
  const [first, second] = found.contradictory;
  const place = { file: file.file, line: lineOf(second) };
  return say.contradictory(
    place,
    entry.name,
    lineOf(first),
    depth(second.depth),
    cast(second.cast),
    depth(found.reached),
  );
}

/** Finds the column for `idea`, with any unit or none: `reaches_ft`, `reaches_m`, `line_lb`, `line`. */
const columnOf = (file: CsvFile, idea: string): string | undefined =>
  file.header.find((column) => column === idea || column.startsWith(`${idea}_`));

const LENGTHS = {
  ft: 'ft',
  feet: 'ft',
  m: 'm',
  meters: 'm',
  metres: 'm',
  yd: 'yd',
  yards: 'yd',
} as const satisfies Record<string, LengthUnit>;

/** Units that a column name may end in. Without a unit, labels are in feet and line is in lb. */
const UNITS: Readonly<Record<string, Readonly<Record<string, string>>>> = {
  label: { '': 'ft', ...LENGTHS },
  reaches: LENGTHS,
  cast: LENGTHS,
  line: { '': '', lb: 'lb', kg: 'kg', mm: 'mm', in: 'in' },
};

const unitOf = (idea: string, column: string): string | undefined =>
  UNITS[idea]?.[column.slice(idea.length + 1).toLowerCase()];

/** Reports a column without a known unit, because a wrong guess would give a lure a wrong depth. */
function unitProblem(file: CsvFile, idea: string, known: Readonly<Record<string, string>>): Diagnostic[] {
  const column = columnOf(file, idea);
  if (column === undefined || unitOf(idea, column) !== undefined) return [];
  const names = uniq(Object.values(known).filter((unit) => unit !== '')).map((unit) => `${idea}_${unit}`);
  return [say.unit({ file: file.file, line: 1 }, column, names)];
}

interface Cell extends LengthFound {
  /** Length, m; NaN if the text is no length, and always NaN in the line column. */
  readonly meters: number;
}

function cellOf(file: CsvFile, row: Row, idea: string): Cell {
  const column = columnOf(file, idea) ?? '';
  const text = (row.values[column] ?? '').trim();
  const unit = unitOf(idea, column) ?? '';
  const isLength = idea !== 'line' && text !== '' && unit !== '' && Number.isFinite(Number(text));
  return { text, column, unit, meters: isLength ? toMeters(Number(text), unit as LengthUnit) : Number.NaN };
}

/** Converts limits, m, to the unit of a cell, rounded inward to a tenth. */
function within({ unit }: Cell, least: number, most: number): [least: number, most: number] {
  const tenths = (meters: number): number => Number((10 * fromMeters(meters, unit as LengthUnit)).toFixed(6));
  return [Math.ceil(tenths(least)) / 10, Math.floor(tenths(most)) / 10];
}
