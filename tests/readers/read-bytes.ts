import { type Diagnostic, Refusal } from '../../shared/contract/diagnostic.ts';
import type { ReaderPlugin } from '../../shared/contract/reader-plugin.ts';
import type { RowAccount, SoundingLog } from '../../shared/contract/soundings.ts';
import { planPipeline } from '../../shared/engine/plan-pipeline.ts';
import { memorySource } from '../../src/formats/csv/byte-source.ts';
import { defaultReaderOptions, type ReaderOptions } from '../../src/formats/csv/reader-options.ts';
import { BUILT_IN } from '../../src/run/built-in.ts';
import { readSoundingsFrom } from '../../src/run/reading/read-log.ts';

/** One sounding as read. */
export interface ReadRow {
  readonly lat: number;
  readonly lon: number;
  readonly depth: number;
  readonly time: number;
  readonly temperature: number;
  readonly pass: number;
  readonly line: number;
}

export interface ReadResult {
  readonly rows: readonly ReadRow[];
  readonly account?: RowAccount;
  readonly diagnostics: readonly Diagnostic[];
  /** Codes of the messages, without the area `soundings/`. */
  readonly codes: readonly string[];
  readonly refusal?: Diagnostic;
  /** The level from which the log measures depths. */
  readonly depthFrom?: SoundingLog['depthFrom'];
}

const READERS = planPipeline(BUILT_IN).reader;

/** Reads a file given as text or bytes as a run would, with companion files by extension. */
export async function readBytes(
  name: string,
  content: string | Uint8Array,
  changes: Partial<ReaderOptions> = {},
  beside: Readonly<Record<string, Uint8Array | string>> = {},
  places: readonly { lat: number; lon: number }[] = [],
  own: readonly ReaderPlugin[] = [],
): Promise<ReadResult> {
  const bytes = bytesOf(content);
  const diagnostics: Diagnostic[] = [];
  const rows: ReadRow[] = [];
  let depthFrom: SoundingLog['depthFrom'];
  const codes = (): string[] => diagnostics.map(({ code }) => code.replace('soundings/', ''));
  const steps = [...own.map((plugin) => ({ plugin, options: {}, isUserPlugin: true })), ...READERS];
  const parts = readSoundingsFrom(memorySource(name, bytes), {
    options: defaultReaderOptions(changes),
    readers: { steps, places },
    report: (diagnostic) => diagnostics.push(diagnostic),
    sibling: async (extension) => (Object.hasOwn(beside, extension) ? bytesOf(beside[extension]) : undefined),
  });
  try {
    let next = await parts.next();
    for (; !next.done; next = await parts.next()) {
      depthFrom = next.value.depthFrom;
      const { count, lat, lon, depth, time, temperature, pass, line } = next.value;
      for (let i = 0; i < count; i++)
        rows.push({
          lat: lat[i],
          lon: lon[i],
          depth: depth[i],
          time: time[i],
          temperature: temperature?.[i] ?? Number.NaN,
          pass: pass[i],
          line: line[i],
        });
    }
    return { rows, account: next.value, diagnostics, codes: codes(), depthFrom };
  } catch (cause) {
    if (!(cause instanceof Refusal)) throw cause;
    return { rows: [], diagnostics, codes: codes(), refusal: cause.diagnostics[0] };
  }
}

const bytesOf = (content: string | Uint8Array): Uint8Array =>
  typeof content === 'string' ? new TextEncoder().encode(content) : content;
