declare module 'shpjs' {
  import type { Geometry } from 'geojson';
  /** Geometries of the records of a `.shp` file, in order. */
  export function parseShp(shp: Uint8Array, projection?: unknown): (Geometry | null)[];
  /** Records of a `.dbf` file, in order. */
  export function parseDbf(dbf: Uint8Array, encoding?: Uint8Array | string): Record<string, unknown>[];
}
