import fc from 'fast-check';
import { expect, test } from 'vitest';
import { blockCells } from '../../shared/bottom/cells.ts';
import { CELL, CELL_WIDTH, type CellMeans } from '../../shared/contract/soundings.ts';

const SIDE = 8;
const PER_DEGREE = 111_195 / SIDE;

/** Random cells around a place, as a survey produces them. */
const cell = fc.record({
  weight: fc.constantFrom(0, 1, 2, 40),
  depth: fc.double({ min: 0, max: 60, noNaN: true }),
  track: fc.double({ min: 0, max: 90, noNaN: true }),
  difference: fc.double({ min: 0, max: 20, noNaN: true }),
  differences: fc.nat(40),
  offEast: fc.double({ min: 0, max: 1, noNaN: true }),
  offNorth: fc.double({ min: 0, max: 1, noNaN: true }),
});
type Cell = typeof cell extends fc.Arbitrary<infer T> ? T : never;

function cellsOf(some: readonly Cell[], side: number, lat: number, lon: number): CellMeans {
  const cells = new Float64Array(side * side * CELL_WIDTH);
  const perDegreeEast = PER_DEGREE * Math.cos((lat * Math.PI) / 180);
  const south = Math.floor(lat * PER_DEGREE) - (side >> 1);
  const west = Math.floor(lon * perDegreeEast) - (side >> 1);
  for (let k = 0; k < side * side; k++) {
    const { weight, depth, track, difference, differences, offEast, offNorth } = some[k % some.length];
    const record = cells.subarray(k * CELL_WIDTH, (k + 1) * CELL_WIDTH);
    record[CELL.north] = south + Math.floor(k / side);
    record[CELL.east] = west + (k % side);
    record[CELL.lat] = (record[CELL.north] + offNorth) / PER_DEGREE;
    record[CELL.lon] = (record[CELL.east] + offEast) / perDegreeEast;
    record.set([depth, weight, track, difference, differences], CELL.depth);
  }
  const runs = Array.from({ length: side }, (_, row) => [row * side, (row + 1) * side]).flat();
  return { runs, cells };
}

test('merging keeps the number of soundings and the mean depth, and blocks lie where their cells do', () => {
  fc.assert(
    fc.property(
      fc.array(cell, { minLength: 1, maxLength: 40 }),
      fc.integer({ min: 1, max: 32 }),
      fc.double({ min: -84, max: 84, noNaN: true }),
      fc.double({ min: -179, max: 179, noNaN: true }),
      (some, side, lat, lon) => {
        const means = cellsOf(some, side, lat, lon);
        const { blocks, soundings } = blockCells(means, lat, lon, 100);
        const records = Array.from({ length: side * side }, (_, k) =>
          means.cells.subarray(k * CELL_WIDTH, (k + 1) * CELL_WIDTH),
        );
        const total = records.reduce((sum, record) => sum + record[CELL.weight], 0);
        const depth = records.reduce((sum, record) => sum + record[CELL.weight] * record[CELL.depth], 0);
        expect(soundings).toBe(total);
        const of = (column: Float64Array): number =>
          column.reduce((sum, value, k) => sum + value * blocks.weight[k], 0);
        expect(of(blocks.depth)).toBeCloseTo(depth, 6);
        expect(blocks.count).toBeLessThanOrEqual(side * side);
        const reach = SIDE * (side + 2);
        for (const value of [...blocks.east, ...blocks.north]) expect(Math.abs(value)).toBeLessThan(reach);
      },
    ),
    { numRuns: 100 },
  );
});
