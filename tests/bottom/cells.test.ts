import fc from 'fast-check';
import { expect, test } from 'vitest';
import { mergeFast, mergePlainly } from '../../shared/bottom/cells.ts';
import { lightModule } from '../../shared/bottom/light-module.ts';
import { CELL, CELL_WIDTH, type CellMeans } from '../../shared/contract/soundings.ts';

const SIDE = 8;
const PER_DEGREE = 111_195 / SIDE;

/** Cells of a square of so many each way round a place, as a survey makes them. */
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

test('the module merges cells as the plain form does, to the last bit', () => {
  const module = lightModule();
  if (module === undefined) throw new Error('light.wasm is not built; run npm run build');
  fc.assert(
    fc.property(
      fc.array(cell, { minLength: 1, maxLength: 40 }),
      fc.integer({ min: 0, max: 32 }),
      fc.double({ min: -84, max: 84, noNaN: true }),
      fc.double({ min: -179, max: 179, noNaN: true }),
      fc.constantFrom(60, 100),
      (some, side, lat, lon, radius) => {
        const means = cellsOf(some, side, lat, lon);
        expect(mergeFast(module, means, lat, lon, radius)).toEqual(mergePlainly(means, lat, lon, radius));
      },
    ),
    { numRuns: 300 },
  );
});
