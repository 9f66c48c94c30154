import { execFileSync } from 'node:child_process';
import { describe, expect, test } from 'vitest';
import { goodRows } from './read-text.ts';

const TIMES = [
  '2024-03-10 02:30:00',
  '2024-01-01T10:15:00.25',
  '13/11/2024 01:30 AM',
  '1704104100',
  '2024-07-01T23:59:60Z',
];
const LOG = `LATITUDE,LONGITUDE,DEPTH_FT,TIME\n${goodRows(5)
  .map((row, i) => `${row},${TIMES[i]}`)
  .join('\n')}\n`;

/** Reads the log, and prints rows, messages, and values that depend on time zone and language. */
const SCRIPT = `
import { createJiti } from 'jiti';
const { readText } = await createJiti(import.meta.url).import(process.argv[1]);
const { rows, diagnostics } = await readText(process.argv[2], { dateOrder: 'dmy' });
const here = [new Date(2024, 0, 1).getTimezoneOffset(), (1234.5).toLocaleString(), 'I'.toLocaleLowerCase()];
process.stdout.write(JSON.stringify({ here, read: { rows, diagnostics } }));
`;

function readIn(zone: string, language: string) {
  const helper = new URL('./read-text.ts', import.meta.url).pathname;
  const env = { ...process.env, TZ: zone, LANG: language, LC_ALL: language };
  const output = execFileSync(process.execPath, ['--input-type=module', '-e', SCRIPT, helper, LOG], {
    env,
    cwd: new URL('../..', import.meta.url).pathname,
  });
  return JSON.parse(output.toString()) as {
    here: unknown[];
    read: { rows: { time: number; depth: number }[] };
  };
}

describe('a log reads the same anywhere', () => {
  const home = readIn('UTC', 'C');

  test('in UTC with the language C, with the expected times and depth', () => {
    const { rows } = home.read;
    const times = [1710037800, 1704104100.25, 1731461400, 1704104100, 1719878399.999];
    expect(rows.map(({ time }) => time)).toEqual(times.map((time) => expect.closeTo(time, 6)));
    expect(rows[0].depth).toBe(0.9906);
  });

  test.each([
    ['America/St_Johns', 'de_DE.UTF-8'],
    ['Asia/Kolkata', 'tr_TR.UTF-8'],
    ['Pacific/Kiritimati', 'fi_FI.UTF-8'],
  ])('in %s with the language %s', (zone, language) => {
    const away = readIn(zone, language);
    expect(away.here).not.toEqual(home.here);
    expect(away.read).toEqual(home.read);
  });
});
