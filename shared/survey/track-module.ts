import type { Soundings } from '../contract/soundings.ts';
import { loadWasm } from '../load-wasm.ts';

/** Rows and blocks that there is room for, and where columns begin, in bytes; as in `assembly/memory.ts`. */
const MOST_ROWS = 4096;
const MOST_BLOCKS = MOST_ROWS + 32;
const START = 4096;

/** What `assembly/track.ts` exports. */
interface TrackExports {
  readonly memory: WebAssembly.Memory;
  beginFixes(): void;
  findApart(rows: number, speed: number, jump: number, seconds: number): number;
  readonly isHeld: WebAssembly.Global;
  beginEchoes(): void;
  findEdges(rows: number, height: number, share: number, steepness: number, limit: number): void;
  readonly edges: WebAssembly.Global;
  readonly longRuns: WebAssembly.Global;
  readonly start: WebAssembly.Global;
  readonly equal: WebAssembly.Global;
  readonly pairs: WebAssembly.Global;
  beginPasses(): void;
  splitPasses(rows: number, gap: number, pause: number, leastCosine: number): void;
  readonly earlierFrom: WebAssembly.Global;
  readonly earlierPass: WebAssembly.Global;
  beginBlocks(length: number): void;
  addRows(rows: number, hasTemperature: number): void;
  closeBlocks(): void;
  readonly ready: WebAssembly.Global;
  beginPieces(lat: number, lon: number, perLat: number, perLon: number, share: number): void;
  reserve(): void;
  addPieces(rows: number): void;
  meetPieces(): void;
  /** Where meetings begin in the memory, in bytes. */
  readonly meetings: WebAssembly.Global;
  readonly meetingCount: WebAssembly.Global;
}

/** A stretch of rows in the memory of the module, and what is found out there for each. */
interface RowMemory {
  readonly lat: Float64Array;
  readonly lon: Float64Array;
  readonly time: Float64Array;
  readonly depth: Float32Array;
  readonly shallowest: Float32Array;
  readonly weight: Float32Array;
  readonly temperature: Float32Array;
  readonly pass: Int32Array;
  readonly way: Float64Array;
  readonly isBreak: Uint8Array;
  readonly edges: Int32Array;
  readonly equals: Int32Array;
}

type BlockMemory = Pick<
  RowMemory,
  'lat' | 'lon' | 'time' | 'depth' | 'weight' | 'shallowest' | 'temperature' | 'pass'
>;

/**
 * The loops over all rows of a log, in WebAssembly: at full speed from the first row, where the plain ones must first be
 * compiled in every thread. They give the same to the last bit.
 */
export interface TrackModule extends TrackExports {
  readonly rows: RowMemory;
  readonly blocks: BlockMemory;
}

let opened: TrackModule | undefined;

/** The module of this thread; undefined where it was not built. It is one for all: a loop ends before the next begins. */
export function trackModule(): TrackModule | undefined {
  if (opened !== undefined) return opened;
  const module = loadWasm('track');
  if (module === undefined) return undefined;
  const mathematics = { sin: Math.sin, cos: Math.cos, exp: Math.exp };
  const exports = new WebAssembly.Instance(module, { mathematics }).exports as TrackExports;
  opened = { ...exports, ...viewsOf(exports.memory.buffer) };
  return opened;
}

function viewsOf(buffer: ArrayBuffer): Pick<TrackModule, 'rows' | 'blocks'> {
  let at = START;
  const take = (bytes: number): number => {
    const place = at;
    at += bytes;
    return place;
  };
  const doubles = (count: number) => new Float64Array(buffer, take(8 * count), count);
  const floats = (count: number) => new Float32Array(buffer, take(4 * count), count);
  const ints = (count: number) => new Int32Array(buffer, take(4 * count), count);
  // In the order in which they lie.
  const rows: RowMemory = {
    lat: doubles(MOST_ROWS),
    lon: doubles(MOST_ROWS),
    time: doubles(MOST_ROWS),
    depth: floats(MOST_ROWS),
    shallowest: floats(MOST_ROWS),
    weight: floats(MOST_ROWS),
    temperature: floats(MOST_ROWS),
    pass: ints(MOST_ROWS),
    way: doubles(MOST_ROWS),
    isBreak: new Uint8Array(buffer, take(MOST_ROWS), MOST_ROWS),
    edges: ints(MOST_ROWS),
    equals: ints(2 * MOST_ROWS),
  };
  const blocks: BlockMemory = {
    lat: doubles(MOST_BLOCKS),
    lon: doubles(MOST_BLOCKS),
    time: doubles(MOST_BLOCKS),
    depth: floats(MOST_BLOCKS),
    weight: floats(MOST_BLOCKS),
    shallowest: floats(MOST_BLOCKS),
    temperature: floats(MOST_BLOCKS),
    pass: ints(MOST_BLOCKS),
  };
  return { rows, blocks };
}

type Column = keyof BlockMemory;

/**
 * Hands a log to the module stretch by stretch.
 *
 * @param each Called with the rows of a stretch, once their columns lie in the module, and the first of them.
 */
export function forStretches<C extends Column>(
  module: TrackModule,
  log: Pick<Soundings, C | 'count'>,
  columns: readonly C[],
  each: (count: number, from: number) => void,
): void {
  for (let from = 0; from < log.count; from += MOST_ROWS) {
    const to = Math.min(from + MOST_ROWS, log.count);
    // Memory that has grown is another buffer.
    if (module.rows.lat.buffer !== module.memory.buffer) Object.assign(module, viewsOf(module.memory.buffer));
    for (const name of columns) {
      const column = log[name] as Float64Array | undefined;
      if (column !== undefined) module.rows[name].set(column.subarray(from, to));
    }
    each(to - from, from);
  }
}
