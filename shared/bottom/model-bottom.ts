import type { LocalSoundings } from './blocks.ts';
import { calibrateDepthSd, calibrateGrid, calibrateSlopeSd } from './calibration.ts';
import { deviationLattice } from './deviation.ts';
import { judgeStatus } from './gates.ts';
import { CELL_SIZE, fillLattice, GRID_SIZE } from './lattice.ts';
import type { BottomModel, BottomStatus, DepthGrid } from './model.ts';
import { meanAt, type Posterior } from './predict.ts';
import { ringMean } from './ring.ts';
import { findSupported, supportByDirection } from './support.ts';
import { atWaypoint, fitSurface, type Surface } from './surface.ts';

const DEGREES = 180 / Math.PI;
/** Slope under which a bottom has no direction worth naming, deg. */
const LEAST_SLOPE = 1;
/** Standard deviations that the slope must exceed to have a direction. */
const SURE_SLOPE = 2;

/**
 * Models the bottom round a waypoint from the soundings near it.
 *
 * @param soundings East and north in m from the waypoint; rows of one pass together, in the order taken. Rows with a
 * depth, east or north that is no number must be left out before.
 * @param lat deg. @param lon deg; of the waypoint, kept in the model.
 *
 * Pure and deterministic; about 5 ms at passes 25 m apart. See `surface.ts` for the method.
 */
export function modelBottom(soundings: LocalSoundings, lat: number, lon: number): BottomModel {
  const surface = fitSurface(soundings);
  if (surface === undefined) return noData(soundings, lat, lon);
  const { passSpacing, blocks } = surface;
  const rawSd = deviationLattice(surface.fit, surface.coordinate.lattice);
  const status = judgeStatus(blocks, passSpacing, ringMean(rawSd, 24));
  if (status === 'no-data') return noData(soundings, lat, lon);
  const supported = findSupported(blocks, passSpacing);
  const posterior = atWaypoint(surface);
  const grid: DepthGrid = {
    size: GRID_SIZE,
    cellSize: CELL_SIZE,
    depth: depthLattice(surface),
    sd: calibrateGrid(rawSd),
    supported,
    range: Math.max(8, Math.min(surface.fit.variation.range, passSpacing) / 2),
  };
  return {
    status,
    lat,
    lon,
    passSpacing,
    soundings: countSoundings(soundings),
    depth: posterior.mean[0],
    depthSd: calibrateDepthSd(Math.sqrt(Math.max(posterior.covariance[0], 0))),
    ...slopeOf(posterior, status),
    grid,
    support: supportByDirection(supported),
  };
}

/** Expected depth at every node, m. */
function depthLattice({ fit, coordinate }: Surface): Float64Array {
  const shape = coordinate.lattice;
  return fillLattice((east, north, node) => meanAt(fit, east, north, shape[node]));
}

type SlopeFields = Pick<
  BottomModel,
  'gradient' | 'gradientCovariance' | 'slope' | 'slopeSd' | 'aspect' | 'aspectSd'
>;

/**
 * Slope and aspect with standard deviations, from the gradient and its covariance.
 *
 * The slope is the root mean square of what the gradient may be: its mean alone is too small where it is uncertain.
 */
function slopeOf(posterior: Posterior, status: BottomStatus): SlopeFields {
  if (status === 'one-pass') return {};
  const [, east, north] = posterior.mean;
  const c = posterior.covariance;
  const [ee, en, nn] = [c[4], c[5], c[8]];
  const level = Math.hypot(east, north);
  const rise = Math.sqrt(level * level + Math.max(0, ee + nn));
  const slope = Math.atan(rise) * DEGREES;
  const e = level > 0 ? east / level : 0;
  const n = level > 0 ? north / level : 1;
  const along = Math.sqrt(Math.max(0, e * e * ee + 2 * e * n * en + n * n * nn));
  const across = Math.sqrt(Math.max(0, n * n * ee - 2 * e * n * en + e * e * nn));
  const { slopeScale, gradientScale } = calibrateSlopeSd();
  const slopeSd = (slopeScale * along * DEGREES) / (1 + rise * rise);
  const k = gradientScale * gradientScale;
  const fields = {
    gradient: [east, north] as const,
    gradientCovariance: [k * ee, k * en, k * nn] as const,
    slope,
    slopeSd,
  };
  if (slope < LEAST_SLOPE || slope < SURE_SLOPE * slopeSd) return fields;
  const aspect = (Math.atan2(east, north) * DEGREES + 360) % 360;
  const aspectSd = Math.min(90, Math.atan((gradientScale * across) / level) * DEGREES);
  return { ...fields, aspect, aspectSd };
}

function noData(soundings: LocalSoundings, lat: number, lon: number): BottomModel {
  return {
    status: 'no-data',
    lat,
    lon,
    passSpacing: Number.NaN,
    soundings: countSoundings(soundings),
    depth: Number.NaN,
    depthSd: Number.NaN,
    support: new Float64Array(16),
  };
}

/** Soundings behind the rows. */
function countSoundings({ count, weight }: LocalSoundings): number {
  if (weight === undefined) return count;
  let sum = 0;
  for (let i = 0; i < count; i++) sum += weight[i];
  return Math.round(sum);
}
