import { mkdirSync, writeFileSync } from 'node:fs';
import { seededRandom } from '../../shared/math/statistics.ts';
import { corpusFile } from '../gpx/corpus.ts';
import { enrichedBytes } from '../gpx/helpers.ts';
import { checkGpx, type GpxOutcome } from './check-gpx.ts';
import { mutate } from './mutate.ts';

/** Number of generated files to mutate; every other one is enriched first. */
const POOL = 300;
/** Folder of failing inputs, which a test replays. */
const KEPT = new URL('../../fixtures/regressions/gpx/', import.meta.url);

/** Checks mutated GPX: no hangs, no untyped errors; accepted input can be undone and enriched again. */
export const section = {
  name: 'gpx',
  run(count: number, seed: number, print: (line: string) => void): void {
    const { outcomes, failures } = mutationRun(count, seed);
    for (const { message, bytes, index } of failures) {
      mkdirSync(KEPT, { recursive: true });
      const file = new URL(`${seed}-${index}.gpx`, KEPT);
      writeFileSync(file, bytes);
      print(`FAILED ${index}: ${message}; input kept in ${file.pathname}`);
    }
    const parts = Object.entries(outcomes).map(([outcome, number]) => `${number} ${outcome}`);
    print(`${count} inputs, seed ${seed}: ${parts.join(', ')}, ${failures.length} failed`);
    if (failures.length > 0) process.exitCode = 1;
  },
};

export interface MutationRun {
  readonly outcomes: Readonly<Record<GpxOutcome, number>>;
  readonly failures: readonly {
    readonly index: number;
    readonly message: string;
    readonly bytes: Uint8Array;
  }[];
}

export function mutationRun(count: number, seed: number): MutationRun {
  const random = seededRandom(seed);
  const pool = Array.from({ length: POOL }, (_, i) => {
    const { bytes } = corpusFile(seed * 1000 + i);
    return i % 2 === 0 ? bytes : enrichedBytes(bytes);
  });
  const outcomes: Record<GpxOutcome, number> = { refused: 0, 'second-parser': 0, kept: 0, enriched: 0 };
  const failures: { index: number; message: string; bytes: Uint8Array }[] = [];
  const pick = (): Uint8Array => pool[Math.floor(random() * POOL)];
  for (let index = 0; index < count; index++) {
    const bytes = mutate(pick(), pick(), random);
    try {
      outcomes[checkGpx(bytes)]++;
    } catch (error) {
      failures.push({
        index,
        message: error instanceof Error ? (error.stack ?? error.message) : String(error),
        bytes,
      });
    }
  }
  return { outcomes, failures };
}
