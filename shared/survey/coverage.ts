import { min } from 'd3-array';
import { maxBy } from 'es-toolkit/array';
import { sum } from 'es-toolkit/math';
import type { SoundingIndex, Survey } from '../contract/index.ts';
import { bearingOf, localFrame } from '../geo/index.ts';

/** How well the soundings around a place support a model. */
export type CoverageWord = 'good' | 'sparse' | 'one-pass' | 'edge' | 'none';

export interface Coverage {
  readonly word: CoverageWord;
  /** Number of soundings (not blocks) within 60 m. */
  readonly soundings: number;
  /** Number of passes within 60 m. */
  readonly passes: number;
  /** Estimated distance between the passes within 100 m, m; Infinity without any track. */
  readonly spacing: number;
  /** Distance to the nearest sounding, m; Infinity if none is within 100 m. */
  readonly nearest: number;
  /** Bearing of the middle of the widest sector without soundings within 60 m, deg; 0 without soundings. */
  readonly emptyMiddle: number;
  /** Width of the widest sector without soundings within 60 m, deg; 360 without soundings. */
  readonly emptyWidth: number;
  /** Mean axis of the track within 100 m, weighted by length, deg true, [0, 180). */
  readonly axis: number;
  /**
   * Bearing, at right angles to `axis`, of the side of the mark without soundings nearby, deg; undefined when
   * both sides or neither side has soundings.
   */
  readonly bareSide?: number;
}

const WIDE = 100;
/** Radius within which soundings and passes are counted, m: the reach of a long cast. */
const NEAR = 60;
const SPARSE = 40;
const EDGE = 120;
/** Maximum step between two rows that counts as track, m. */
const LONGEST_PIECE = 25;
/** A sounding at most this far from the line through the mark along `axis` counts for both sides, m. */
const ON_MARK = 3;

/**
 * Measures how far apart passes around a place are and which sides have soundings, and judges the coverage.
 *
 * Spacing is the area of a circle of 100 m radius divided by the length of track in it.
 */
export function coverageAt(survey: Survey, index: SoundingIndex, lat: number, lon: number): Coverage {
  const frame = localFrame(lat, lon);
  const rows = index.within(lat, lon, WIDE);
  const places = rows.map((row) => frame.toLocal(survey.lat[row], survey.lon[row]));
  const away = places.map((at) => Math.hypot(...at));
  const near = [...rows.keys()].filter((i) => away[i] <= NEAR);
  const nearPlaces = near.map((i) => places[i]);
  let length = 0;
  let cos2 = 0;
  let sin2 = 0;
  for (let i = 1; i < rows.length; i++) {
    if (rows[i] !== rows[i - 1] + 1 || survey.pass[rows[i]] !== survey.pass[rows[i - 1]]) continue;
    const [dx, dy] = [places[i][0] - places[i - 1][0], places[i][1] - places[i - 1][1]];
    const piece = Math.hypot(dx, dy);
    if (piece > LONGEST_PIECE || piece === 0) continue;
    length += piece;
    // Axes are averaged as vectors of twice their angle, because opposite directions are the same axis.
    cos2 += (dy * dy - dx * dx) / piece;
    sin2 += (2 * dx * dy) / piece;
  }
  const axis = ((Math.atan2(sin2, cos2) * 90) / Math.PI + 180) % 180;
  const spacing = length > 0 ? (Math.PI * WIDE * WIDE) / length : Number.POSITIVE_INFINITY;
  const found = {
    soundings: Math.round(sum(near.map((i) => survey.weight[rows[i]]))),
    passes: new Set(near.map((i) => survey.pass[rows[i]])).size,
    spacing,
    nearest: min(away) ?? Number.POSITIVE_INFINITY,
    ...widestGap(nearPlaces.map((place) => bearingOf(...place))),
    axis,
    bareSide: bareSideOf(nearPlaces, axis, spacing),
  };
  return { ...found, word: wordOf(found) };
}

function wordOf({ soundings, passes, bareSide, emptyWidth, spacing }: Omit<Coverage, 'word'>): CoverageWord {
  if (soundings === 0) return 'none';
  if (passes < 2 || (bareSide !== undefined && passes < 3)) return 'one-pass';
  if (emptyWidth > EDGE || bareSide !== undefined) return 'edge';
  return spacing > SPARSE ? 'sparse' : 'good';
}

/** Finds the widest gap between bearings, deg; the whole circle when there are no bearings. */
function widestGap(bearings: readonly number[]): Pick<Coverage, 'emptyMiddle' | 'emptyWidth'> {
  const sorted = bearings.toSorted((a, b) => a - b);
  const gaps = sorted.map((from, i) => {
    const to = sorted[i + 1] ?? sorted[0] + 360;
    return { emptyMiddle: ((from + to) / 2) % 360, emptyWidth: to - from };
  });
  return maxBy(gaps, ({ emptyWidth }) => emptyWidth) ?? { emptyMiddle: 0, emptyWidth: 360 };
}

/**
 * Returns `Coverage.bareSide`. A sounding counts as nearby if its distance from the mark, measured across
 * `axis`, is at most the pass spacing. This limit is at least 10 m and at most `NEAR`.
 */
function bareSideOf(places: readonly (readonly [number, number])[], axis: number, spacing: number) {
  const right = (((axis + 90) % 360) * Math.PI) / 180;
  const reach = Math.min(NEAR, Math.max(spacing, 10));
  const asides = places.map(([east, north]) => east * Math.sin(right) + north * Math.cos(right));
  const hasRight = asides.some((aside) => aside >= -ON_MARK && aside <= reach);
  const hasLeft = asides.some((aside) => aside <= ON_MARK && aside >= -reach);
  if (hasRight === hasLeft) return undefined;
  return hasRight ? (axis + 270) % 360 : (axis + 90) % 360;
}
