import { type DepthReference, type LengthUnit, Refusal } from '../../../shared/contract/index.ts';
import {
  type At,
  refusalMessages as refusals,
  soundingMessages as says,
} from '../../../shared/text/index.ts';
import { findPlain } from './column-map.ts';
import { type Column, findRole, namesOf } from './column-names.ts';
import type { ColumnPlaces, Layout } from './layout.ts';
import type { ReaderOptions } from './reader-options.ts';
import type { Beginning } from './sample-checks.ts';

/** Returns the layout after a header in mid-file: the layout so far, with new columns and units. */
export function relayout(names: readonly Column[], before: Layout, options: ReaderOptions, at: At): Layout {
  const known = names.map((column) => {
    const same = before.columns[findPlain(before.columns, column.name)];
    return same !== undefined && column.unit === undefined
      ? { ...column, unit: same.unit, temperatureUnit: same.temperatureUnit }
      : column;
  });
  const { columns, places } = placeColumns(known, { sample: [], options, at, say: () => {} });
  const depth = columns[places.depth];
  const isSame = depth.name === before.columns[before.at.depth].name;
  const unit = depth.unit ?? (isSame ? before.depthUnit : (options.depthUnit as LengthUnit | undefined));
  if (unit === undefined && places.unit < 0)
    throw new Refusal([refusals['depth-unit'](at, depth.name, true)]);
  return {
    ...before,
    columns,
    at: places,
    depthUnit: unit,
    depthFrom: depth.from,
    temperatureUnit: columns[places.temperature]?.temperatureUnit,
  };
}

/**
 * Finds the column of each quantity. In the returned columns, depth columns that are not used have the role
 * `ignore`. Of several columns of times, dates or datums, the first is used.
 *
 * @throws Refusal when positions are missing and there are no tracks, when the column of `--channel` is
 * missing, or when two columns fit another role.
 */
export function placeColumns(
  all: readonly Column[],
  beginning: Beginning,
): { readonly columns: readonly Column[]; readonly places: ColumnPlaces } {
  const { options, at, say } = beginning;
  const columns = takeDepth(all, beginning);
  const refuseRivals = (role: Column['role'], rivals: readonly string[]): void => {
    const number = columns.findIndex(({ name }) => name === rivals[0]) + 1;
    if (rivals.length > 1) throw new Refusal([refusals['two-columns'](at, role, rivals, number)]);
  };
  for (const role of ['lat', 'lon', 'depth', 'temperature', 'unit', 'ns', 'ew'] as const)
    refuseRivals(role, namesOf(columns, role));
  const [time, ...otherTimes] = namesOf(columns, 'time');
  if (otherTimes.length > 0) say(says['several-times'](at, time, otherTimes));
  const find = (role: Column['role']) => findRole(columns, role);
  const depth = find('depth');
  if (depth < 0) refuseRivals('depth', namesOf(columns, 'elevation'));
  const isPlaced = find('lat') >= 0 && find('lon') >= 0;
  if (!isPlaced && options.fixes === undefined) throw new Refusal([refusals['no-positions'](at)]);
  const places = {
    lat: isPlaced ? find('lat') : -1,
    lon: isPlaced ? find('lon') : -1,
    depth: depth >= 0 ? depth : find('elevation'),
    time: find('time'),
    date: find('date'),
    temperature: find('temperature'),
    unit: find('unit'),
    ns: find('ns'),
    ew: find('ew'),
    datum: find('datum'),
    channel: channelColumn(columns, options, at),
  };
  return { columns, places };
}

function channelColumn(columns: readonly Column[], { channel }: ReaderOptions, at: At): number {
  if (channel === undefined) return -1;
  const name = channel.split('=')[0].trim();
  const index = findPlain(columns, name);
  if (index < 0) throw new Refusal([refusals.map(at, name, namesOf(columns), '--channel')]);
  return index;
}

/**
 * Keeps only one of several depth columns: the depth from the surface, else from the transducer, else from
 * the keel. A level without values is passed over.
 *
 * All columns are kept when the choice is not certain: when two columns state the best level, when no level
 * has values, or when a column states no level and the best level is not the surface.
 */
function takeDepth(columns: readonly Column[], { sample, at, say }: Beginning): readonly Column[] {
  const rivals = columns.filter(({ role }) => role === 'depth');
  const isFilled = (column: Column): boolean =>
    sample.length === 0 || sample.some(({ fields }) => (fields[columns.indexOf(column)] ?? '').trim() !== '');
  const of = (level: DepthReference): Column[] => rivals.filter(({ from }) => from === level);
  const levels = (['surface', 'transducer', 'keel'] as const).filter((level) => of(level).some(isFilled));
  const isCertain = levels[0] === 'surface' || rivals.every(({ from }) => from !== undefined);
  if (rivals.length < 2 || levels.length === 0 || of(levels[0]).length > 1 || !isCertain) return columns;
  const [used] = of(levels[0]);
  say(says['several-depths'](at, used.name, namesOf(rivals.filter((column) => column !== used))));
  return columns.map((column) =>
    column.role === 'depth' && column !== used ? { ...column, role: 'ignore' } : column,
  );
}
