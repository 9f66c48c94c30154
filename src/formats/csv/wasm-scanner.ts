import { loadWasm } from '../../../shared/load-wasm.ts';
import { createScanner, type ScanNotes, type Scanner, type ScanPlan, scanPlan } from './byte-scanner.ts';
import type { Layout } from './layout.ts';
import type { RowColumns } from './row-columns.ts';

/** Where things lie in the memory of the module, and how many there is room for; as in `assembly/memory.ts`. */
const KINDS = 1024;
const POWERS = 2048;
const SENTINELS = 3072;
const TEXT = 8192;
const TEXT_BYTES = 65_536;
const MOST_ROWS = 10_928;
/** Bytes after the text that a look ahead may read. */
const AHEAD = 64;
const ROWS = TEXT + TEXT_BYTES + AHEAD;
const MOST_FIELDS = 1024;
const MOST_SENTINELS = 512;

const LF = 10;

/** Functions and figures of `assembly/scan-rows.ts`. */
interface ScanModule {
  readonly memory: WebAssembly.Memory;
  setLayout(...layout: number[]): void;
  scan(length: number, firstLine: number): number;
  readonly zoned: WebAssembly.Global;
  readonly local: WebAssembly.Global;
  readonly unixSeconds: WebAssembly.Global;
  readonly unixMilliseconds: WebAssembly.Global;
  readonly rows: WebAssembly.Global;
  readonly lines: WebAssembly.Global;
  readonly lf: WebAssembly.Global;
  readonly crlf: WebAssembly.Global;
  readonly cr: WebAssembly.Global;
  readonly decimals: WebAssembly.Global;
  readonly hasHighBytes: WebAssembly.Global;
  readonly quotedDecimalLine: WebAssembly.Global;
}

/**
 * The scanner of `byte-scanner.ts` in WebAssembly, which is at full speed from the first line; that one
 * itself where the module was not built, and for lines longer than there is room for.
 */
export function createFastScanner(layout: Layout, notes: ScanNotes): Scanner | undefined {
  const plain = createScanner(layout, notes);
  const module = scanModule();
  if (plain === undefined || module === undefined) return plain;
  const plan = scanPlan(layout, notes);
  if (plan.kinds.length > MOST_FIELDS || plan.sentinels.length > MOST_SENTINELS) return plain;
  return scannerOf(new WebAssembly.Instance(module).exports as unknown as ScanModule, plan, plain);
}

let compiled: WebAssembly.Module | undefined;

/** The module, compiled once a thread. */
function scanModule(): WebAssembly.Module | undefined {
  if (compiled !== undefined) return compiled;
  compiled = loadWasm('scan-rows');
  return compiled;
}

function scannerOf(module: ScanModule, plan: ScanPlan, plain: Scanner): Scanner {
  const { buffer } = module.memory;
  const text = new Uint8Array(buffer, TEXT, TEXT_BYTES + AHEAD);
  const columns = columnsIn(buffer);
  fillMemory(module, plan);
  return (bytes, from, to, rows) => {
    let at = from;
    while (at < to) {
      const stop = to - at <= TEXT_BYTES ? to : bytes.lastIndexOf(LF, at + TEXT_BYTES - 1) + 1;
      if (stop <= at) return plain(bytes, at, to, rows);
      text.set(bytes.subarray(at, stop));
      text.fill(0, stop - at, stop - at + AHEAD);
      const done = module.scan(stop - at, plan.notes.line);
      takeRows(rows, columns, module.rows.value);
      takeNotes(plan.notes, module);
      at += done;
      if (at < stop) break;
    }
    return at;
  };
}

type ScannedColumns = Pick<RowColumns, 'lat' | 'lon' | 'time' | 'depth' | 'temperature' | 'line'>;

function columnsIn(buffer: ArrayBuffer): ScannedColumns {
  const long = (column: number): Float64Array =>
    new Float64Array(buffer, ROWS + 8 * MOST_ROWS * column, MOST_ROWS);
  const short = ROWS + 24 * MOST_ROWS;
  return {
    lat: long(0),
    lon: long(1),
    time: long(2),
    depth: new Float32Array(buffer, short, MOST_ROWS),
    temperature: new Float32Array(buffer, short + 4 * MOST_ROWS, MOST_ROWS),
    line: new Uint32Array(buffer, short + 8 * MOST_ROWS, MOST_ROWS),
  };
}

function fillMemory({ memory: { buffer }, setLayout }: ScanModule, plan: ScanPlan): void {
  new Uint8Array(buffer, KINDS, plan.kinds.length).set(plan.kinds);
  new Float64Array(buffer, POWERS, 16).set(Array.from({ length: 16 }, (_, digits) => 10 ** digits));
  new Float64Array(buffer, SENTINELS, plan.sentinels.length).set(plan.sentinels);
  setLayout(
    plan.delimiter,
    plan.mark,
    plan.kinds.length,
    plan.perUnit,
    Number(plan.isFahrenheit),
    plan.zone,
    { ymd: 0, dmy: 1, mdy: 2 }[plan.clock.order ?? 'ymd'],
    plan.maxDepth,
    plan.zeroIsValid ? 0 : Number.MIN_VALUE,
    plan.latest,
    plan.sentinels.length,
  );
}

function takeRows(rows: RowColumns, columns: ScannedColumns, count: number): void {
  const at = rows.count;
  rows.lat.set(columns.lat.subarray(0, count), at);
  rows.lon.set(columns.lon.subarray(0, count), at);
  rows.time.set(columns.time.subarray(0, count), at);
  rows.depth.set(columns.depth.subarray(0, count), at);
  rows.temperature.set(columns.temperature.subarray(0, count), at);
  rows.line.set(columns.line.subarray(0, count), at);
  rows.count = at + count;
}

function takeNotes(notes: ScanNotes, module: ScanModule): void {
  const { forms } = notes;
  notes.line += module.lines.value;
  notes.lf += module.lf.value;
  notes.crlf += module.crlf.value;
  notes.cr += module.cr.value;
  notes.decimals = Math.max(notes.decimals, module.decimals.value);
  if (module.hasHighBytes.value !== 0) notes.hasHighBytes = true;
  if (notes.quotedDecimalLine === 0) notes.quotedDecimalLine = module.quotedDecimalLine.value;
  forms.zoned += module.zoned.value;
  forms.local += module.local.value;
  forms.seconds += module.unixSeconds.value;
  forms.milliseconds += module.unixMilliseconds.value;
}
