import { existsSync, mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, afterEach, beforeAll, beforeEach, describe, expect, test } from 'vitest';
import { writeAtomically } from '../../src/files/atomic-write.ts';
import { checkTarget } from '../../src/files/output-target.ts';
import { type CompiledFiles, compileFiles, finished } from './compiled.ts';

let compiled: CompiledFiles;
let folder: string;
let path: string;
beforeAll(async () => {
  compiled = await compileFiles();
});
afterAll(() => compiled.dispose());
beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), 'downslope-test-'));
  path = join(folder, 'a.gpx');
});
afterEach(() => rmSync(folder, { recursive: true, force: true }));

const target = () => checkTarget(path, { force: true, inPlace: false, inputs: [] });
const OLD = 'old '.repeat(1000);
/** Returns a script that writes the same new file again and again, and prints `go` when it starts. */
const writer = (length: number): string => `
  const target = checkTarget(${JSON.stringify(path)}, { force: true, inPlace: false, inputs: [] });
  const write = () => writeAtomically(target, Buffer.alloc(${length}, 'new '));
  const first = write();
  process.stdout.write('go\\n');
  for (await first; ; ) await write();
`;
const temporaryFiles = (): string[] => readdirSync(folder).filter((name) => name.endsWith('.tmp'));

/** Minimum number of kills, each after a different wait. `npm run fuzz kill` kills whole commands. */
const MOMENTS = 40;
/** Minimum number of kills with each outcome: the old file, the new file, a temporary file left. */
const MIN_OF_EACH_KIND = 2;
/** Maximum number of kills; chosen. */
const MAX_MOMENTS = 240;

test('F01: a run killed at any of 40 or more moments leaves the whole old or new file, and the next run removes temporary files', async () => {
  const whole = { old: Buffer.from(OLD), new: Buffer.alloc(4_000_000, 'new ') };
  const seen = { old: 0, new: 0, left: 0 };
  const start = performance.now();
  await writeAtomically(target(), whole.new);
  // Long enough for about four writes.
  let longest = Math.max(30, 4 * (performance.now() - start));
  const isMissed = (): boolean => Math.min(seen.old, seen.new, seen.left) < MIN_OF_EACH_KIND;
  let round = 0;
  for (; round < MOMENTS || (isMissed() && round < MAX_MOMENTS); round += 2) {
    // Two at once, each in its own folder, because most of the time is spent waiting for Node to start.
    await Promise.all(
      [0, 1].map(async (offset) => {
        const own = mkdtempSync(join(folder, 'run-'));
        const file = join(own, 'a.gpx');
        writeFileSync(file, OLD);
        const child = compiled.run(
          writer(whole.new.length).replaceAll(JSON.stringify(path), JSON.stringify(file)),
        );
        const end = finished(child);
        await new Promise((resolve) => child.stdout?.once('data', resolve));
        await new Promise((resolve) => setTimeout(resolve, (((round + offset) % 40) / 40) * longest));
        child.kill('SIGKILL');
        await end;
        const content = readFileSync(file);
        if (content.equals(whole.old)) seen.old++;
        else if (content.equals(whole.new)) seen.new++;
        else throw new Error(`Torn file of ${content.length} bytes.`);
        seen.left += readdirSync(own).length - 1;
        await writeAtomically(checkTarget(file, { force: true, inPlace: false, inputs: [] }), whole.old);
        expect(readdirSync(own)).toEqual(['a.gpx']);
        rmSync(own, { recursive: true });
      }),
    );
    // A program that has just started may write more slowly than this one.
    if ((round + 2) % MOMENTS === 0 && seen.new < MIN_OF_EACH_KIND) longest *= 2;
  }
  expect(seen.old + seen.new).toBe(round);
  expect(isMissed()).toBe(false);
});

describe('F02: a signal removes the temporary file at once', () => {
  test.each([
    ['SIGINT', 130],
    ['SIGTERM', 143],
    ['SIGHUP', 129],
  ] as const)('%s ends with status %i', async (signal, status) => {
    writeFileSync(path, OLD);
    for (const wait of [0, 3, 9]) {
      const child = compiled.run(writer(20_000_000));
      const end = finished(child);
      await new Promise((resolve) => child.stdout?.once('data', resolve));
      await new Promise((resolve) => setTimeout(resolve, wait));
      child.kill(signal);
      expect((await end).status).toBe(status);
      expect(temporaryFiles()).toEqual([]);
    }
  });
});

test.skipIf(process.platform !== 'linux')(
  'F03: a file larger than the limit of the system is refused with the reason, and the old file stays',
  async () => {
    writeFileSync(path, OLD);
    const script = `
    process.on('SIGXFSZ', () => {});
    const target = checkTarget(${JSON.stringify(path)}, { force: true, inPlace: false, inputs: [] });
    await writeAtomically(target, new Uint8Array(9_000_000)).catch((error) => { console.log(error.message); process.exit(error.status); });
  `;
    const { status, output } = await finished(
      compiled.run(script, ['sh', '-c', 'ulimit -f 4000; exec "$0" "$@"']),
    );
    expect(output).toContain('the disk does not take files this large');
    expect(output).toContain(path);
    expect(status).toBe(1);
    expect(readFileSync(path, 'utf8')).toBe(OLD);
    expect(temporaryFiles()).toEqual([]);
  },
);

test.skipIf(!existsSync('/dev/full'))(
  'F03, F17: a full standard output is refused, and a closed one ends the run quietly',
  async () => {
    const script = `
    const target = checkTarget('-', { force: false, inPlace: false, inputs: [] });
    await writeAtomically(target, new Uint8Array(500_000)).catch((error) => { console.error(error.message); process.exit(error.status); });
  `;
    const full = await finished(compiled.run(script, ['sh', '-c', 'exec "$0" "$@" > /dev/full']));
    expect(full.output).toContain('the disk is full');
    expect(full.status).toBe(1);
    const closed = await finished(
      compiled.run(script, ['sh', '-c', '("$0" "$@"; echo "status $?" >&2) | head -c 1 > /dev/null']),
    );
    expect(closed.output.trim()).toBe('status 0');
  },
);

test('F18: a file cut at every hundredth of its length, or with a zeroed tail, is refused', async () => {
  const { readGpx } = await import('../../src/formats/gpx/read-gpx.ts');
  const { enrichedBytes, MARKS } = await import('../gpx/helpers.ts');
  const whole = enrichedBytes(MARKS);
  await writeAtomically(target(), whole);
  for (let part = 0; part < 100; part++) {
    const end = Math.floor((whole.length - 8) * (part / 100));
    expect(() => readGpx(whole.subarray(0, end), 'a.gpx')).toThrow(/error gpx\//);
    const zeroed = Uint8Array.from(whole);
    zeroed.fill(0, end);
    expect(() => readGpx(zeroed, 'a.gpx')).toThrow(/error gpx\//);
  }
});
