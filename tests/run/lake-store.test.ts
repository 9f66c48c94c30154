import { appendFileSync, existsSync, readFileSync, statSync, utimesSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { tableFromIPC } from '@uwdata/flechette';
import { describe, expect, test } from 'vitest';
import type { Diagnostic } from '../../shared/contract/diagnostic.ts';
import type { Soundings } from '../../shared/contract/soundings.ts';
import type { LogEntry } from '../../shared/engine/index.ts';
import { identityOf } from '../../src/files/identity.ts';
import { openLakeStore } from '../../src/run/store/lake-store.ts';
import { decodeLog, encodeLog } from '../../src/run/store/log-codec.ts';
import { makeFolder, write } from '../cli/run-program.ts';

const soundings: Soundings = {
  count: 3,
  lat: Float64Array.of(40, 40.1, 40.2),
  lon: Float64Array.of(-90, -90.1, 180),
  depth: Float32Array.of(5, 6.5, 7),
  time: Float64Array.of(1.7e9, Number.NaN, 1.7e9 + 2),
  pass: Int32Array.of(0, 0, 1),
  weight: Float32Array.of(1, 4, 2),
  shallowest: Float32Array.of(5, 6, 7),
};
const log: LogEntry = {
  soundings,
  account: { read: 8, used: 7, dropped: { 'soundings/lost-bottom': 1 } },
  diagnostics: [
    {
      severity: 'warning',
      code: 'soundings/lost-bottom',
      message: 'Dropped.',
      place: { file: 'a.csv', line: 3 },
    },
  ],
};
const origin = { size: 10, modified: '20', changed: '21', content: 'c', reduction: 'r' };

function newLake() {
  const folder = makeFolder();
  const file = write(folder, 'a.csv', 'lat,lon,depth_m\n1,2,3\n');
  const said: Diagnostic[] = [];
  const open = (dependsOn: unknown = {}) =>
    openLakeStore(
      () => dependsOn,
      (diagnostic) => said.push(diagnostic),
    );
  return { folder, file, said, open, stored: join(folder, '.downslope', 'a.csv.arrow') };
}

describe('a stored log', () => {
  test('comes back unchanged, including missing times', () => {
    expect(decodeLog(encodeLog(log, origin))).toEqual({ log, origin });
  });

  test('comes back unchanged when no row was usable', () => {
    const columns = Object.entries(soundings).filter(([name]) => name !== 'count');
    const none = Object.fromEntries(columns.map(([name, column]) => [name, column.slice(0, 0)]));
    const empty = { ...log, soundings: { ...none, count: 0 } as unknown as Soundings };
    expect(decodeLog(encodeLog(empty, origin)).log).toEqual(empty);
  });

  test('is an Arrow file that any reader of the format opens', () => {
    const table = tableFromIPC(encodeLog(log, origin));
    expect(table.numRows).toBe(3);
    expect(table.getChild('depth')?.toArray()).toEqual(soundings.depth);
  });

  test.each([
    [
      'a byte of a column is changed',
      (bytes: Uint8Array) => bytes.map((byte, at) => (at === find(bytes, 6.5) ? byte ^ 1 : byte)),
    ],
    [
      'a letter of a stored message is changed',
      (bytes: Uint8Array) => {
        // The format stores its schema at both ends; readers use the one at the end.
        const at = Buffer.from(bytes).lastIndexOf('Dropped.');
        return bytes.map((byte, i) => (i === at ? byte ^ 32 : byte));
      },
    ],
    ['its end is missing', (bytes: Uint8Array) => bytes.slice(0, bytes.length / 2)],
    ['it is something else', () => new TextEncoder().encode('not a store')],
    ['it is empty', () => new Uint8Array(0)],
  ])('is not trusted when %s', (_, spoil) => {
    expect(() => decodeLog(spoil(encodeLog(log, origin)))).toThrow();
  });
});

/** Returns the index of a depth in the bytes. */
function find(bytes: Uint8Array, depth: number): number {
  const wanted = new Uint8Array(Float32Array.of(depth).buffer);
  return bytes.findIndex((_, at) => wanted.every((byte, k) => bytes[at + k] === byte));
}

describe('the lake store', () => {
  test('returns what it stored, until the log or the settings of its reduction change', async () => {
    const { file, open } = newLake();
    expect(await open().find(file)).toBeUndefined();
    await open().keep(file, log, identityOf(file)!);
    expect(await open().find(file)).toEqual(log);
    expect(await open({ step: 3 }).find(file)).toBeUndefined();
    appendFileSync(file, '1,2,4\n');
    expect(await open().find(file)).toBeUndefined();
  });

  test('recognizes a log that was copied again, with a different modification time but the same content', async () => {
    const { file, open } = newLake();
    await open().keep(file, log, identityOf(file)!);
    utimesSync(file, new Date(0), new Date(0));
    expect(await open().find(file)).toEqual(log);
  });

  test('does not recognize a log whose content was replaced with other content of equal length and time', async () => {
    const { file, open } = newLake();
    const { atime, mtime } = statSync(file);
    utimesSync(file, atime, mtime);
    await open().keep(file, log, identityOf(file)!);
    writeFileSync(file, 'lat,lon,depth_m\n1,2,4\n');
    utimesSync(file, atime, mtime);
    expect(await open().find(file)).toBeUndefined();
  });

  test('does not use a damaged file, and a message says that it is rebuilt', async () => {
    const { file, open, said, stored } = newLake();
    await open().keep(file, log, identityOf(file)!);
    const bytes = readFileSync(stored);
    writeFileSync(stored, bytes.subarray(0, bytes.length - 100));
    expect(await open().find(file)).toBeUndefined();
    expect(said.map(({ code }) => code)).toEqual(['store/rebuilt']);
  });

  test('stores nothing for a log that changed before it is stored', async () => {
    const { file, open, said, stored } = newLake();
    const before = identityOf(file)!;
    appendFileSync(file, '1,2,4\n');
    await open().keep(file, log, before);
    expect(existsSync(stored)).toBe(false);
    expect(said.map(({ code }) => code)).toEqual(['store/not-written']);
  });

  test.each([
    ['account', { ...log, account: { ...log.account, used: 6 } }],
    ['latitude', { ...log, soundings: { ...soundings, lat: Float64Array.of(40, 91, 40) } }],
    ['depth', { ...log, soundings: { ...soundings, depth: Float32Array.of(5, Number.NaN, 7) } }],
    ['weight', { ...log, soundings: { ...soundings, weight: Float32Array.of(1, 0, 2) } }],
    ['pass', { ...log, soundings: { ...soundings, pass: Int32Array.of(0, -1, 1) } }],
    ['message', { ...log, diagnostics: [{ severity: 'loud' }] as never }],
  ])('rejects a stored log with an impossible %s, even if its checksum is right', async (_, forged) => {
    const { file, open, said } = newLake();
    await open().keep(file, forged, identityOf(file)!);
    expect(await open().find(file)).toBeUndefined();
    expect(said.map(({ code }) => code)).toEqual(['store/rebuilt']);
  });
});
