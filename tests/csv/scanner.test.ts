import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { readText } from './read-text.ts';

const digits = (from: number, to: number) =>
  fc.string({ unit: fc.constantFrom(...'0123456789'), minLength: from, maxLength: to });
const number = (whole: fc.Arbitrary<string>, most = 7) =>
  fc
    .tuple(fc.constantFrom('', '-', '+'), whole, fc.option(digits(0, most), { nil: undefined }))
    .map(([sign, before, after]) => sign + before + (after === undefined ? '' : `.${after}`));
const space = fc.constantFrom('', '', '', ' ', '  ');
const quoted = (value: fc.Arbitrary<string>) =>
  fc
    .tuple(value, fc.constantFrom(false, false, false, true), space, space)
    .map(([text, isQuoted, before, after]) => {
      return `${before}${isQuoted ? `"${text}"` : text}${after}`;
    });
const two = (most: number) => fc.integer({ min: 0, max: most }).map((n) => String(n).padStart(2, '0'));
const time = fc.oneof(
  fc
    .tuple(
      fc.integer({ min: 1985, max: 2031 }),
      two(13),
      two(32),
      fc.constantFrom('T', ' '),
      two(24),
      two(60),
      two(60),
      digits(0, 9),
      fc.constantFrom('', 'Z', '+02:00'),
    )
    .map(
      ([y, mo, d, t, h, mi, s, f, z]) => `${y}-${mo}-${d}${t}${h}:${mi}:${s}${f === '' ? '' : `.${f}`}${z}`,
    ),
  fc.integer({ min: 900_000_000, max: 1_900_000_000 }).map(String),
  fc.integer({ min: 900_000_000_000, max: 1_900_000_000_000 }).map(String),
  fc.constantFrom('', '2024-05-01', '12:30:00'),
);
const note = fc.constantFrom('', 'a', '"a, b"', '"say ""x"""', 'dåg', '-');
const row = fc.tuple(
  quoted(time),
  quoted(number(digits(1, 3))),
  quoted(number(digits(1, 3))),
  quoted(fc.oneof(number(digits(1, 4)), fc.constantFrom('', '0', '9999', '12ft', '1e1'))),
  quoted(fc.oneof(number(digits(1, 2)), fc.constantFrom('', 'x'))),
  note,
);

describe('the scanner and the tolerant reader', () => {
  test('accept the same rows with the same values', async () => {
    await fc.assert(
      fc.asyncProperty(
        fc.array(row, { minLength: 1, maxLength: 12 }),
        fc.constantFrom('\n', '\r\n'),
        async (rows, end) => {
          const good = '2024-05-01T10:00:00Z,45.12345,-93.12345,3.25,20.5,x';
          const lines = [
            'time,lat,lon,depth_m,temp_c,note',
            ...new Array(30).fill(good),
            ...rows.map((fields) => fields.join(',')),
            good,
          ];
          const text = lines.join(end) + end;
          const scanned = await readText(text, { maxDropped: 1 });
          // Times in a named zone are always left to the tolerant reader. Etc/UTC equals UTC all year.
          const tolerant = await readText(text, { maxDropped: 1, tz: 'Etc/UTC' });
          expect(scanned.refusal).toEqual(tolerant.refusal);
          expect(scanned.rows).toEqual(tolerant.rows);
          expect(scanned.account).toEqual(tolerant.account);
        },
      ),
      { numRuns: 700, seed: 5 },
    );
  });

  test('numbers are the doubles nearest to their text', async () => {
    await fc.assert(
      fc.asyncProperty(number(digits(1, 2), 13), async (text) => {
        const { rows } = await readText(
          `lat,lon,depth_m\n45,-93.5,3\n45.5,${text},3.5\n46,-93.5,3\n46,-93.4,3\n`,
        );
        const read = rows.find(({ line }) => line === 3);
        expect(read?.lon).toBe(Number.parseFloat(text));
      }),
      { numRuns: 500, seed: 6 },
    );
  });
});

describe('any log', () => {
  const walk = (turn: number, mirror: number) =>
    `lat,lon,depth_m\n${Array.from({ length: 40 }, (_, i) => `${(mirror * (45 + i * 1e-5)).toFixed(6)},${(93 + turn + i * 2e-5).toFixed(6)},${(3 + (i % 7) * 0.1).toFixed(2)}`).join('\n')}\n`;

  test('P7 gives the same depths with longitudes above 180 or southern latitudes', async () => {
    const plain = await readText(walk(0, 1));
    const moved = await readText(walk(200, 1));
    const mirrored = await readText(walk(0, -1));
    expect(moved.rows.map(({ depth }) => depth)).toEqual(plain.rows.map(({ depth }) => depth));
    expect(mirrored.rows.map(({ depth }) => depth)).toEqual(plain.rows.map(({ depth }) => depth));
    expect(moved.rows[3].lon).toBeCloseTo(293.00006 - 360, 9);
    expect(mirrored.rows[3].lat).toBe(-plain.rows[3].lat);
  });

  test('P8 gives the same depths from feet, fathoms and meters', async () => {
    await fc.assert(
      fc.asyncProperty(fc.integer({ min: 100, max: 400_000 }), async (millimeters) => {
        const meters = millimeters / 1000;
        const rows = await Promise.all(
          (
            [
              ['m', 1],
              ['ft', 0.3048],
              ['fm', 1.8288],
            ] as const
          ).map(async ([unit, factor]) => {
            const text = `lat,lon,depth_${unit}\n45.12345,-93.12345,${(meters / factor).toFixed(9)}\n`;
            return (await readText(text)).parts[0].depth[0];
          }),
        );
        // Depths are kept in single precision, which is accurate to 6e-8 of the value.
        for (const depth of rows) expect(Math.abs(depth - meters)).toBeLessThan(1.2e-7 * meters + 1e-9);
      }),
      { numRuns: 100, seed: 7 },
    );
  });
});
