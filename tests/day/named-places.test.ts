import { parse } from 'fast-csv';
import { expect, test } from 'vitest';
import { formatPlanCsv } from '../../src/day/plan-csv.ts';
import { formatPlanGpx } from '../../src/day/plan-gpx.ts';
import { plan, ringLake } from './lake.ts';
import { medianSlack, namedPlaces } from './named-places.ts';

type Row = Record<string, string>;

const rowsOf = (text: string): Promise<Row[]> =>
  new Promise((resolve, reject) => {
    const rows: Row[] = [];
    const stream = parse<Row, Row>({ headers: true });
    stream
      .on('data', (row: Row) => rows.push(row))
      .on('error', reject)
      .on('end', () => resolve(rows));
    stream.end(text);
  });

test('every position named in a plan is in its GPX, every stop has a cast, and at least half the stops have 4 min to spare', async () => {
  for (const seed of [3, 4]) {
    const lake = ringLake(26, seed);
    const waypoints = lake.input.waypoints.map((mark, at) => {
      // Marks 0, 5, 10, ... have boat positions but no casts; of the others, 7, 14, 21 have neither.
      if (at % 5 === 0) {
        const { downslope_fish_contact: _down, upslope_fish_contact: _up, ...fields } = mark.fields;
        return { ...mark, fields };
      }
      if (at % 7 === 0) return { ...mark, fields: { depth: 5, structure: 'ledge' as const } };
      return {
        ...mark,
        fields: {
          ...mark.fields,
          downslope_cast: 40,
          downslope_cast_mag: 90,
          upslope_cast: 35,
          upslope_cast_mag: 270,
        },
      };
    });
    const made = plan({ ...lake, input: { ...lake.input, waypoints } }).plan!;
    const rows = await rowsOf(formatPlanCsv(made, 'ft', true));
    const { named, inGpx } = namedPlaces(rows, new TextEncoder().encode(formatPlanGpx(made, 'ft', 50)));
    expect(rows.length).toBeGreaterThan(6);
    for (const name of named) expect(inGpx.has(name), name).toBe(true);
    for (const name of [made.ramp.name, made.from.name, made.end.name]) expect(inGpx.has(name)).toBe(true);
    for (const row of rows) expect(row.cast_mag_deg, row.spot).not.toBe('');
    expect(medianSlack(rows)).toBeGreaterThanOrEqual(4);
  }
});
