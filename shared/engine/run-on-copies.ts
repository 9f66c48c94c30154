import {
  type LogChange,
  Refusal,
  SOUNDING_COLUMNS,
  type SoundingColumn,
  type Soundings,
  SURVEY_COLUMNS,
} from '../contract/index.ts';
import { pluginMessages as says } from '../text/index.ts';

type Column = Float64Array | Float32Array | Int32Array | Uint32Array;
/** Columns whose values may be missing (NaN). */
const MAY_LACK: readonly string[] = ['time', 'temperature'] satisfies SoundingColumn[];
const OPTIONAL: readonly string[] = ['temperature'] satisfies SoundingColumn[];

/**
 * Runs a user's log or survey plugin on copies, and refuses a result that violates the contract.
 *
 * @param parts Properties that the plugin's result may have.
 * @throws Refusal naming the plugin, when it changed its input or returned something unusable.
 */
export function runOnCopies<S extends Soundings, C extends LogChange>(
  plugin: string,
  soundings: S,
  parts: readonly (keyof LogChange)[],
  run: (copy: S) => C,
): C {
  const { count } = soundings;
  const columns = Object.entries(soundings).filter((entry): entry is [string, Column] =>
    ArrayBuffer.isView(entry[1]),
  );
  const copies = columns.map(([name, column]) => [name, column.slice(0, count)] as const);
  const change = run({ ...soundings, ...Object.fromEntries(copies) });
  const isKept = columns.every(([, column], at) => {
    const copy = copies[at][1];
    return copy.every((value, row) => Object.is(value, column[row]));
  });
  if (!isKept) throw new Refusal([says['changed-input'](undefined, plugin, 'run')]);
  const [found, expected] = misfit(change, parts, count) ?? [];
  if (found !== undefined && expected !== undefined)
    throw new Refusal([says['value of-stage'](undefined, plugin, found, expected)]);
  return change;
}

/** Returns what a plugin threw: a Refusal as it is, anything else as a Refusal that names the plugin. */
export const failureOf = (plugin: string, cause: unknown): Refusal =>
  cause instanceof Refusal ? cause : new Refusal([says.threw(undefined, plugin, cause, 'run')]);

/** Runs a plugin and awaits its result. @throws Refusal from `failureOf`. */
export async function guarded<T>(plugin: string, run: () => T | Promise<T>): Promise<T> {
  try {
    return await run();
  } catch (cause) {
    throw failureOf(plugin, cause);
  }
}

/** Names the kind of a value: `undefined`, `a number`, `an object`, `a Float64Array`. */
export const valueKind = (value: unknown): string => {
  if (value === undefined || value === null) return String(value);
  const kind = typeof value === 'object' ? (value.constructor?.name ?? 'object') : typeof value;
  return `${/^[aeio]/i.test(kind) ? 'an' : 'a'} ${kind === 'Object' ? 'object' : kind}`;
};

type Misfit = readonly [found: string, expected: string] | undefined;

function misfit(change: unknown, parts: readonly string[], count: number): Misfit {
  if (typeof change !== 'object' || change === null) return [valueKind(change), 'an object'];
  const strange = Object.keys(change).find((name) => !parts.includes(name));
  if (strange !== undefined) return [`property "${strange}"`, `only ${parts.join(', ')}`];
  if (change instanceof Promise) return ['a Promise', 'an object'];
  const { columns = {}, dropped = [], reduced } = change as LogChange;
  return columnMisfit(columns, count) ?? droppedMisfit(dropped, count) ?? (reduced && reducedMisfit(reduced));
}

function columnMisfit(columns: Readonly<Record<string, unknown>>, count: number): Misfit {
  for (const [name, column] of Object.entries(columns)) {
    if (!Object.hasOwn(SURVEY_COLUMNS, name))
      return [`column "${name}"`, `one of ${Object.keys(SURVEY_COLUMNS).join(', ')}`];
    const kind = SURVEY_COLUMNS[name as keyof typeof SURVEY_COLUMNS];
    if (!(column instanceof kind)) return [`column "${name}" as ${valueKind(column)}`, `a ${kind.name}`];
    if (column.length !== count) return [`${column.length} values in column "${name}"`, String(count)];
    const row = MAY_LACK.includes(name) ? -1 : column.findIndex((value) => !Number.isFinite(value));
    if (row >= 0) return [`${column[row]} in column "${name}"`, 'a number (drop a row that has none)'];
  }
  return undefined;
}

function droppedMisfit(dropped: unknown, count: number): Misfit {
  if (!Array.isArray(dropped)) return [`"dropped" as ${valueKind(dropped)}`, 'a list of { reason, rows }'];
  for (const { reason, rows } of dropped) {
    if (typeof reason !== 'string' || reason === '')
      return ['dropped rows without a reason', 'rows with one'];
    const row = Array.from(rows ?? []).find(
      (at) => !(Number.isInteger(at) && Number(at) < count && Number(at) >= 0),
    );
    if (row !== undefined) return [`dropped row ${row}`, `a row from 0 to ${count - 1}`];
  }
  return undefined;
}

function reducedMisfit({ count, ...columns }: Soundings): Misfit {
  if (!Number.isInteger(count) || count < 0)
    return [`a reduced log with count ${count}`, 'a whole number of rows'];
  const missing = Object.keys(SOUNDING_COLUMNS).find(
    (name) => !Object.hasOwn(columns, name) && !OPTIONAL.includes(name),
  );
  if (missing !== undefined) return [`a reduced log without column "${missing}"`, 'one with every column'];
  const known = Object.entries(columns).filter(([name]) => Object.hasOwn(SOUNDING_COLUMNS, name));
  return columnMisfit(Object.fromEntries(known.filter(([, column]) => column !== undefined)), count);
}
