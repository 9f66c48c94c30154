import type { DepthGrid } from '../contract/index.ts';

/** Slope of the ground around a mark, m/m, that gives the uphill direction half of its full weight. */
const UNSURE_FALL = 0.002;
/** Direction preferred on level ground, so that casts do not turn around with every new pass. */
const ANY_WAY: readonly [east: number, north: number] = [0, 0.25];

/**
 * Fits a plane to the sounded ground within a radius of the mark and returns the direction of its rise.
 *
 * @param radius m.
 * @returns East and north, of length about 1 on clearly sloping ground. The gentler the slope, the more of
 * `ANY_WAY` is mixed in.
 */
export function uphillOf(
  { size, cellSize, depth, supported }: DepthGrid,
  radius: number,
): readonly [east: number, north: number] {
  const half = (size - 1) / 2;
  let [count, x, y, z, xx, xy, yy, xz, yz] = [0, 0, 0, 0, 0, 0, 0, 0, 0];
  for (let node = 0; node < depth.length; node++) {
    if (supported[node] === 0) continue;
    const east = ((node % size) - half) * cellSize;
    const north = (Math.floor(node / size) - half) * cellSize;
    if (east * east + north * north > radius * radius) continue;
    count++;
    x += east;
    y += north;
    z += depth[node];
    xx += east * east;
    xy += east * north;
    yy += north * north;
    xz += east * depth[node];
    yz += north * depth[node];
  }
  const [a, b, c] = [xx - (x * x) / count, xy - (x * y) / count, yy - (y * y) / count];
  const [d, e] = [xz - (x * z) / count, yz - (y * z) / count];
  const determinant = a * c - b * b;
  if (!(determinant > 0)) return ANY_WAY;
  const east = (d * c - e * b) / determinant;
  const north = (e * a - d * b) / determinant;
  const fall = Math.hypot(east, north) + UNSURE_FALL;
  const unsure = UNSURE_FALL / fall;
  return [unsure * ANY_WAY[0] - east / fall, unsure * ANY_WAY[1] - north / fall];
}
