import fc from 'fast-check';
import { expect, test } from 'vitest';
import { localFrame } from '../../shared/geo/local-frame.ts';
import { nearFrame } from '../../shared/geo/near-frame.ts';

/** Greatest difference from the plane of `localFrame` along either axis, m, for a place some m away. */
function difference(lat: number, lon: number, east: number, north: number): number {
  const plane = localFrame(lat, lon);
  const [toLat, toLon] = plane.toGeographic(east, north);
  const [e, n] = plane.toLocal(toLat, toLon);
  const frame = nearFrame(lat, lon);
  const dLat = toLat - frame.lat;
  const dLon = toLon - frame.lon;
  return Math.max(
    Math.abs(dLon * (frame.east + frame.eastChange * dLat) - e),
    Math.abs(dLat * (frame.north + frame.northChange * dLat) + frame.bend * dLon * dLon - n),
  );
}

test('a place near the origin lies where the local plane has it', () => {
  const meters = fc.double({ min: -85, max: 85, noNaN: true });
  const within = (most: number, limit: number) =>
    fc.assert(
      fc.property(
        fc.double({ min: -most, max: most, noNaN: true }),
        fc.double({ min: -179.9, max: 179.8, noNaN: true }),
        meters,
        meters,
        (lat, lon, east, north) => {
          expect(difference(lat, lon, east, north)).toBeLessThan(limit);
        },
      ),
      { numRuns: 500 },
    );
  within(60, 1e-7);
  within(85, 5e-6);
});
