import type { Projection } from '../contract/index.ts';

/** A coordinate reference system that can be converted to WGS 84. */
export interface MapSystem {
  readonly toDegrees: Projection;
  /** Central meridian, deg, of a system that covers a strip along a meridian; undefined for other systems. */
  readonly meridian?: number;
  /** True where a few published parameters shift the datum to WGS 84: accurate to meters, not to centimeters. */
  readonly isApproximate: boolean;
}

/** Why a system cannot be used: it is unknown, or its definition does not say how its datum differs from WGS 84. */
export type MapFault = 'unknown' | 'datum';

/** Semi-major axis of the ellipsoids whose datums agree with WGS 84 within a meter or two (WGS 84, GRS 80), m. */
const MODERN_AXIS = 6378137;
/** Ways to shift a datum to WGS 84, as `proj4` numbers them. */
const [THREE_PARAMETERS, SEVEN_PARAMETERS, GRID_SHIFT] = [1, 2, 3];

/**
 * A coordinate reference system from its EPSG number or its WKT definition. Loads the projection libraries.
 *
 * Numbers are looked up in the definitions of `proj4-list`. A datum whose shift to WGS 84 is given by a grid,
 * or not at all, is a fault, because positions could be off by a hundred meters.
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

/** EPSG number from `EPSG:3067`, from a URN, or from the last authority in WKT; undefined if there is none. */
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
  // Where a definition has both shift parameters and a shift grid, use the parameters: the grid is not available here.
  return definition !== undefined && /\+towgs84=/.test(definition)
    ? definition.replace(/\+nadgrids=\S+/, '')
    : definition;
}
