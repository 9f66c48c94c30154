import {
  type DepthReference,
  type Diagnostic,
  type LengthUnit,
  Refusal,
} from '../../../shared/contract/index.ts';
import {
  type At,
  depthUnitUnknown,
  mapUnknown,
  noPositions,
  severalDepths,
  severalTimes,
  twoColumns,
} from '../../../shared/text/index.ts';
import { applyMap } from './column-map.ts';
import { type Column, plainColumnName, type Role } from './column-names.ts';
import type { ColumnPlaces, Layout } from './layout.ts';
import type { ReaderOptions } from './reader-options.ts';

/** Layout for a header in the middle of a file: the first layout with new columns and units. */
export function relayout(names: readonly Column[], before: Layout, options: ReaderOptions, at: At): Layout {
  const known = applyMap(names, options.map).map((column) => {
    const same = before.columns.find((other) => plainColumnName(other.name) === plainColumnName(column.name));
    return same !== undefined && column.unit === undefined
      ? { ...column, unit: same.unit, temperatureUnit: same.temperatureUnit }
      : column;
  });
  const columns = takeDepth(known, [], at, () => {});
  checkSingle(columns, at);
  const places = placeColumns(columns, options, at, () => {});
  const depth = columns[places.depth];
  const unit =
    depth.unit ??
    (depth.name === before.columns[before.at.depth].name
      ? before.depthUnit
      : (options.depthUnit as LengthUnit | undefined));
  if (unit === undefined && places.unit < 0) throw new Refusal([depthUnitUnknown(at, depth.name)]);
  const temperature = places.temperature < 0 ? undefined : columns[places.temperature].temperatureUnit;
  return {
    ...before,
    columns,
    at: places,
    depthUnit: unit,
    depthFrom: depth.from,
    temperatureUnit: temperature,
  };
}

/** Where each quantity is. @throws Refusal when a sounding cannot be read from the columns. */
export function placeColumns(
  columns: readonly Column[],
  options: ReaderOptions,
  at: At,
  say: (d: Diagnostic) => void,
): ColumnPlaces {
  const find = (role: Role) => columns.findIndex((column) => column.role === role);
  const times = columns.filter((column) => column.role === 'time');
  if (times.length > 1)
    say(
      severalTimes(
        at,
        times[0].name,
        times.slice(1).map((column) => column.name),
      ),
    );
  const elevations = columns.filter((column) => column.role === 'elevation');
  const depth = find('depth');
  if (depth < 0 && elevations.length > 1)
    throw new Refusal([
      twoColumns(
        at,
        'depth',
        elevations.map((column) => column.name),
      ),
    ]);
  const lat = find('lat');
  const lon = find('lon');
  if ((lat < 0 || lon < 0) && options.fixes === undefined) throw new Refusal([noPositions(at)]);
  return {
    lat: lon < 0 ? -1 : lat,
    lon: lat < 0 ? -1 : lon,
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
}

function channelColumn(columns: readonly Column[], options: ReaderOptions, at: At): number {
  if (options.channel === undefined) return -1;
  const name = options.channel.split('=')[0].trim();
  const index = columns.findIndex((column) => plainColumnName(column.name) === plainColumnName(name));
  if (index < 0)
    throw new Refusal([
      mapUnknown(
        at,
        name,
        columns.map((column) => column.name),
      ),
    ]);
  return index;
}

/** Checks that no quantity has more than one column. @throws Refusal naming the competing columns. */
export function checkSingle(columns: readonly Column[], at: At): void {
  for (const role of ['lat', 'lon', 'depth', 'temperature', 'unit', 'ns', 'ew'] as const) {
    const rivals = columns.filter((column) => column.role === role);
    if (rivals.length > 1) {
      throw new Refusal([
        twoColumns(
          at,
          role,
          rivals.map((column) => column.name),
        ),
      ]);
    }
  }
}

/**
 * One column of several that hold the depth from different levels: from the surface, else from the transducer, else from
 * the keel. A column without values is passed over. Among columns that do not all state their level, only one from the
 * surface is certain.
 */
export function takeDepth(
  columns: readonly Column[],
  sample: readonly { readonly fields: readonly string[] }[],
  at: At,
  say: (d: Diagnostic) => void,
): Column[] {
  const rivals = columns.filter(({ role }) => role === 'depth');
  const isFilled = (column: Column): boolean =>
    sample.length === 0 || sample.some(({ fields }) => (fields[columns.indexOf(column)] ?? '').trim() !== '');
  const of = (level: DepthReference): Column[] => rivals.filter(({ from }) => from === level);
  const levels = (['surface', 'transducer', 'keel'] as const).filter((level) => of(level).some(isFilled));
  const isCertain = levels[0] === 'surface' || rivals.every(({ from }) => from !== undefined);
  if (rivals.length < 2 || levels.length === 0 || of(levels[0]).length > 1 || !isCertain) return [...columns];
  const [used] = of(levels[0]);
  say(
    severalDepths(
      at,
      used.name,
      rivals.filter((column) => column !== used).map(({ name }) => name),
    ),
  );
  return columns.map((column) =>
    column.role === 'depth' && column !== used ? { ...column, role: 'ignore' } : column,
  );
}
