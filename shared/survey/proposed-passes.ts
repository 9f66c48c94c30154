import { geodesicInverse, localFrame } from '../geo/index.ts';
import type { Coverage } from './coverage.ts';

/** A proposed pass; its ends are in deg. */
export interface PassLine {
  readonly from: readonly [lon: number, lat: number];
  readonly to: readonly [lon: number, lat: number];
  /** True bearing of `to` seen from `from`, deg, [0, 360). */
  readonly bearing: number;
  /** m. */
  readonly length: number;
}

/** Half the length of a proposed pass, m: a long cast each way, plus room to settle on course. */
const HALF = 80;
/** Distance from the mark to a pass beside it, m: half of the spacing above which coverage is `sparse`. */
const BESIDE = 20;

/**
 * Proposes passes that would improve the coverage of a mark:
 *
 * - `none`: two that cross on the mark;
 * - `one-pass`: one beside the mark (on the bare side, if any), and one through the mark across the passes;
 * - `edge`: one beside the mark on the side without soundings, and one farther out on this side;
 * - `sparse`: one through the mark along the passes, and one through the mark across the passes;
 * - `good`: one through the mark along the passes if `isFormLikely`, otherwise none.
 *
 * @param isFormLikely True when the passes may have missed a form at the mark.
 */
export function proposePasses(
  lat: number,
  lon: number,
  coverage: Coverage,
  isFormLikely = false,
): PassLine[] {
  const { word, axis, emptyMiddle, bareSide } = coverage;
  const across = (axis + 90) % 180;
  const frame = localFrame(lat, lon);
  /** Returns a pass on a bearing, with its middle `aside` meters from the mark toward the bearing `side`. */
  const line = (bearing: number, aside = 0, side = 0): PassLine => {
    const sideRad = (side * Math.PI) / 180;
    const alongRad = (bearing * Math.PI) / 180;
    const end = (sign: number) =>
      frame.toGeographic(
        aside * Math.sin(sideRad) + sign * HALF * Math.sin(alongRad),
        aside * Math.cos(sideRad) + sign * HALF * Math.cos(alongRad),
      );
    return lineBetween(end(-1), end(1));
  };
  if (word === 'none') return [line(0), line(90)];
  if (word === 'one-pass') return [line(axis, BESIDE, bareSide ?? (axis + 90) % 360), line(across)];
  if (word === 'edge') {
    const side = coverage.emptyWidth > 120 ? emptyMiddle : (bareSide ?? emptyMiddle);
    const along = (side + 90) % 180;
    return [line(along, BESIDE, side), line(along, 2 * BESIDE, side)];
  }
  if (word === 'sparse') return [line(axis), line(across)];
  return isFormLikely ? [line(axis)] : [];
}

export function lineBetween(
  [lat1, lon1]: readonly [lat: number, lon: number],
  [lat2, lon2]: readonly [lat: number, lon: number],
): PassLine {
  const found = geodesicInverse(lat1, lon1, lat2, lon2);
  return { from: [lon1, lat1], to: [lon2, lat2], bearing: found.bearing, length: found.distance };
}
