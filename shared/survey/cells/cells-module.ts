import { CELL_WIDTH, type Soundings } from '../../contract/soundings.ts';
import { metersPerDegree } from '../../geo/meters-per-degree.ts';
import { loadWasm } from '../../load-wasm.ts';
import { type CellTable, DEGREES_EAST, sharedInts } from './cell-table.ts';

/** What `assembly/index.ts` exports: functions that give 0 where there is no memory, and places in the memory, in bytes. */
interface CellsExports {
  readonly memory: WebAssembly.Memory;
  begin(rows: number): number;
  readonly lats: WebAssembly.Global;
  readonly lons: WebAssembly.Global;
  readonly depths: WebAssembly.Global;
  readonly weights: WebAssembly.Global;
  readonly passes: WebAssembly.Global;
  placeRows(from: number, to: number): void;
  makeGrid(): number;
  markCells(from: number, to: number): void;
  numberCells(): number;
  countRows(from: number, to: number): void;
  sumRows(): void;
  orderRows(from: number, to: number): void;
  readonly cellCount: WebAssembly.Global;
  readonly south: WebAssembly.Global;
  readonly height: WebAssembly.Global;
  readonly cellNorths: WebAssembly.Global;
  readonly cellEasts: WebAssembly.Global;
  readonly firsts: WebAssembly.Global;
  readonly starts: WebAssembly.Global;
  readonly order: WebAssembly.Global;
  setMeters(east: number, north: number): void;
  findSpikes(first: number): number;
  beginMeans(): number;
  addRows(from: number, to: number): void;
  endMeans(): void;
  readonly means: WebAssembly.Global;
}

/** Bytes before the columns, where cells per degree of longitude stand by latitude; as in `assembly/memory.ts`. */
const PER_DEGREE_EAST = 4096;
/** Rows beyond which the columns may not fit into the memory of a module. */
const MOST_ROWS = 30_000_000;

/** Cells of a survey and their records, as the plain form makes them. */
export interface Cells {
  readonly table: CellTable;
  readonly means: Float64Array;
}

/**
 * `tableOf` and `meansOf` in WebAssembly: at full speed from the first row, where the plain loops must first be compiled. They
 * give the same to the last bit.
 *
 * @returns undefined where the module was not built, and where lakes lie too far apart for a grid.
 */
export function cellsFast(survey: Soundings): Cells | undefined {
  const { count, lat, lon, depth, weight, pass } = survey;
  const module = count === 0 || count > MOST_ROWS ? undefined : loadWasm('cells');
  if (module === undefined) return undefined;
  // An instance for each survey: its memory goes with it.
  const { exports } = new WebAssembly.Instance(module, { mathematics: { hypot: Math.hypot } });
  const cells = exports as unknown as CellsExports;
  if (!cells.begin(count)) return undefined;
  const { buffer } = cells.memory;
  new Float64Array(buffer, PER_DEGREE_EAST).set(DEGREES_EAST);
  new Float64Array(buffer, cells.lats.value).set(lat);
  new Float64Array(buffer, cells.lons.value).set(lon);
  new Float32Array(buffer, cells.depths.value).set(depth);
  new Float32Array(buffer, cells.weights.value).set(weight);
  new Int32Array(buffer, cells.passes.value).set(pass);
  if (!makeTable(cells, count) || !cells.beginMeans()) return undefined;
  const [perLat, perLon] = metersPerDegree(lat[0]);
  cells.setMeters(perLon, perLat);
  for (let row = 0; row < count; ) row = cells.findSpikes(row);
  forStretches(count, cells.addRows);
  cells.endMeans();
  return resultOf(cells);
}

/** False where the lakes lie too far apart, or there is no memory. */
function makeTable(cells: CellsExports, count: number): boolean {
  forStretches(count, cells.placeRows);
  if (!cells.makeGrid()) return false;
  forStretches(count, cells.markCells);
  if (!cells.numberCells()) return false;
  forStretches(count, cells.countRows);
  cells.sumRows();
  forStretches(count, (from, to) => cells.orderRows(count - to, count - from));
  return true;
}

/** Rows of one call: a function is compiled for the second time while it runs, and the next call is the first to gain. */
const STRETCH = 1 << 14;

function forStretches(count: number, each: (from: number, to: number) => void): void {
  for (let from = 0; from < count; from += STRETCH) each(from, Math.min(from + STRETCH, count));
}

function resultOf(cells: CellsExports): Cells {
  const { buffer } = cells.memory;
  const ints = ({ value: at }: WebAssembly.Global, length: number): Int32Array => {
    const shared = sharedInts(length);
    shared.set(new Int32Array(buffer, at, length));
    return shared;
  };
  const count = cells.cellCount.value;
  const starts = ints(cells.starts, count + 1);
  const means = new Float64Array(new SharedArrayBuffer(8 * CELL_WIDTH * count));
  means.set(new Float64Array(buffer, cells.means.value, CELL_WIDTH * count));
  return {
    table: {
      count,
      south: cells.south.value,
      firsts: ints(cells.firsts, cells.height.value + 1),
      north: ints(cells.cellNorths, count),
      east: ints(cells.cellEasts, count),
      rows: ints(cells.order, starts[count]),
      starts,
    },
    means,
  };
}
