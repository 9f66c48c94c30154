import type { LocalSoundings } from './blocks.ts';
import { calibrateDepth } from './calibration.ts';
import { deviationLattice } from './deviation.ts';
import { isTooUnsure, judgeStatus } from './gates.ts';
import type { Posterior } from './gaussian-process.ts';
import { CELL_SIZE, fillLattice, GRID_SIZE } from './lattice.ts';
import type { BottomModel, BottomStatus, DepthGrid } from './model.ts';
import { fitRobustQuadratic } from './quadratic.ts';
import { slopeFields } from './slope-fields.ts';
import { findSupported, supportByDirection } from './support.ts';
import {
  atWaypoint,
  type BlockedSoundings,
  blockSoundings,
  fitSurface,
  roughnessOf,
  type Surface,
} from './surface.ts';

/** Ring on which the uncertainty between passes is looked at, m, and places on it. */
const RING = 24;
const RING_PLACES = 8;
/** Radius of the fallback quadratic in distances between passes. */
const QUADRATIC_RADIUS = 1.5;
/** Errors of the grid are alike over this share of the range, and not under this, m. */
const ALIKE = 0.5;
const LEAST_ALIKE = 8;

/**
 * Models the bottom round a waypoint from the soundings near it.
 *
 * @param soundings East and north in m from the waypoint; rows of one pass together, in the order taken. Rows with a
 * depth, east or north that is no number must be left out before.
 * @param lat deg. @param lon deg; of the waypoint, kept in the model.
 *
 * Pure and deterministic. See `surface.ts` for the method. Should it fail, a robust quadratic gives depth and slope, without a
 * grid.
 */
export function modelBottom(soundings: LocalSoundings, lat: number, lon: number): BottomModel {
  return modelBlocked(blockSoundings(soundings), lat, lon);
}

/**
 * The same from block means, or from cells where passes crowd (`blockCells`).
 *
 * @param hasGrid False: depth, slope and aspect at the waypoint alone, at about half the cost.
 */
export function modelBlocked(
  blocked: BlockedSoundings,
  lat: number,
  lon: number,
  hasGrid = true,
): BottomModel {
  const { passSpacing, blocks } = blocked;
  const coverage = judgeStatus(blocks, passSpacing);
  if (coverage === 'no-data') return noData(blocked, lat, lon);
  const surface = fitSurface(blocked, coverage !== 'ok');
  if (surface === undefined) return modelQuadratic(blocked, coverage, lat, lon);
  const isSparse = coverage === 'ok' && isTooUnsure(passSpacing, () => ringDeviation(surface));
  const rough = roughnessOf(surface);
  const point = pointModel(blocked, lat, lon, isSparse ? 'sparse' : coverage, atWaypoint(surface), rough);
  if (!hasGrid) return point;
  const supported = findSupported(blocks, passSpacing);
  return {
    ...point,
    grid: gridOf(surface, passSpacing, rough, supported),
    support: supportByDirection(supported),
  };
}

function gridOf(
  { process, coordinate }: Surface,
  passSpacing: number,
  rough: number,
  supported: Uint8Array,
): DepthGrid {
  const sd = deviationLattice(process, coordinate.lattice);
  return {
    size: GRID_SIZE,
    cellSize: CELL_SIZE,
    depth: fillLattice((east, north, node) => process.meanAt(east, north, coordinate.lattice[node])),
    sd: sd.map((own) => Math.hypot(calibrateDepth(own, passSpacing), rough)),
    supported,
    range: Math.max(LEAST_ALIKE, ALIKE * Math.min(process.params.range, passSpacing)),
  };
}

/** Mean standard deviation of the depth on a ring round the waypoint, m, as the process gives it. */
function ringDeviation({ process, coordinate }: Surface): number {
  let sum = 0;
  for (let k = 0; k < RING_PLACES; k++) {
    const bearing = (2 * Math.PI * k) / RING_PLACES;
    const [east, north] = [RING * Math.sin(bearing), RING * Math.cos(bearing)];
    const { covariance } = process.posteriorAt(east, north, coordinate.at(east, north));
    sum += Math.sqrt(Math.max(0, covariance[0]));
  }
  return sum / RING_PLACES;
}

/** What is said of the waypoint itself. */
function pointModel(
  { passSpacing, soundings, bend }: BlockedSoundings,
  lat: number,
  lon: number,
  status: BottomStatus,
  posterior: Posterior,
  rough = 0,
): BottomModel {
  const sd = Math.sqrt(Math.max(posterior.covariance[0], 0));
  return {
    status,
    lat,
    lon,
    passSpacing,
    soundings,
    depth: posterior.mean[0],
    depthSd: Math.hypot(calibrateDepth(sd, passSpacing), rough),
    ...slopeFields(posterior, status, passSpacing, { rough, bend }),
    support: new Float64Array(16),
  };
}

/** The fallback: a robust quadratic over 1.5 distances between passes. */
function modelQuadratic(
  blocked: BlockedSoundings,
  coverage: BottomStatus,
  lat: number,
  lon: number,
): BottomModel {
  const { blocks, passSpacing } = blocked;
  const fit = fitRobustQuadratic(blocks, QUADRATIC_RADIUS * passSpacing);
  if (fit === undefined) return noData(blocked, lat, lon);
  const [depth, east, north] = fit.coefficients;
  const posterior = { mean: [depth, east, north] as const, covariance: fit.covariance };
  return pointModel(blocked, lat, lon, coverage === 'ok' ? 'sparse' : coverage, posterior);
}

function noData({ soundings }: BlockedSoundings, lat: number, lon: number): BottomModel {
  return {
    status: 'no-data',
    lat,
    lon,
    passSpacing: Number.NaN,
    soundings,
    depth: Number.NaN,
    depthSd: Number.NaN,
    support: new Float64Array(16),
  };
}
