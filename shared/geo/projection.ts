import type { Projection } from '../contract/index.ts';

/** A coordinate reference system that can be converted to WGS 84. */
export interface MapSystem {
  readonly toDegrees: Projection;
  /** Central meridian of a transverse Mercator system, deg; undefined for other systems. */
  readonly meridian?: number;
  /** True where three or seven parameters shift the datum to WGS 84, which leaves errors of meters. */
  readonly isApproximate: boolean;
}

/** Why a system cannot be used: it is unknown, or the shift of its datum to WGS 84 is not available. */
export type MapFault = 'unknown' | 'datum';

/** Semi-major axis of WGS 84 and GRS 80, m; datums on these ellipsoids agree within a meter or two. */
const MODERN_AXIS = 6378137;
/** Values of `datum_type` in `proj4`: how a datum is shifted to WGS 84. */
const [THREE_PARAMETERS, SEVEN_PARAMETERS, GRID_SHIFT] = [1, 2, 3];

/**
 * Makes a coordinate reference system from its EPSG number (looked up in `proj4-list`) or its WKT definition.
 *
 * A datum gives the fault `datum` if it needs a shift grid, or if the semi-major axis of its ellipsoid
 * differs from that of WGS 84 and no shift parameters are known: positions could be off by a hundred meters.
 *
 * @param said `EPSG:nnnn`, or WKT as in a `.prj` file.
 */
export async function mapSystem(said: string): Promise<MapSystem | MapFault> {
  const code = epsgOf(said);
  const definition = code === undefined ? said : await listedDefinition(code);
  if (definition === undefined) return 'unknown';
  const { default: proj4 } = await import('proj4');
  try {
    const from = new proj4.Proj(definition) as unknown as Proj;
    const { datum_type: kind } = from.datum;
    if (kind === GRID_SHIFT) return 'datum';
    const isShifted = kind === THREE_PARAMETERS || kind === SEVEN_PARAMETERS;
    if (!isShifted && Math.abs(from.a - MODERN_AXIS) > 0.01) return 'datum';
    const { forward } = proj4(definition, '+proj=longlat +datum=WGS84 +no_defs');
    return {
      toDegrees: (x, y) => (Number.isFinite(x) && Number.isFinite(y) ? degrees(forward, x, y) : NOWHERE),
      meridian: STRIPS.includes(from.projName) ? (from.long0 * 180) / Math.PI : undefined,
      isApproximate: isShifted,
    };
  } catch {
    return 'unknown';
  }
}

/** Reads an EPSG number from `EPSG:3067`, a URN, or the last authority in WKT; undefined if there is none. */
export function epsgOf(said: string): number | undefined {
  const plain = /^\s*(?:urn:ogc:def:crs:)?EPSG:[^:]*?:?(\d{4,6})\s*$/i.exec(said);
  const authority = /(?:AUTHORITY|ID)\["EPSG",\s*"?(\d{4,6})"?\]\s*\]\s*$/i.exec(said);
  const found = plain ?? authority;
  return found === null ? undefined : Number(found[1]);
}

interface Proj {
  readonly a: number;
  readonly projName: string;
  readonly long0: number;
  readonly datum: { readonly datum_type: number };
}

const NOWHERE = [Number.NaN, Number.NaN] as const;
const STRIPS = ['utm', 'etmerc', 'tmerc', 'Extended_Transverse_Mercator', 'Transverse_Mercator'];

function degrees(forward: (at: number[]) => number[], x: number, y: number): readonly [number, number] {
  try {
    const [lon, lat] = forward([x, y]);
    return Math.abs(lat) <= 90 && Math.abs(lon) <= 180 ? [lon, lat] : NOWHERE;
  } catch {
    return NOWHERE;
  }
}

async function listedDefinition(code: number): Promise<string | undefined> {
  const { default: list } = await import('proj4-list');
  const definition = list[`EPSG:${code}`]?.[1];
  // Shift parameters are preferred over a shift grid, because the grid is not available here.
  return definition !== undefined && /\+towgs84=/.test(definition)
    ? definition.replace(/\+nadgrids=\S+/, '')
    : definition;
}
