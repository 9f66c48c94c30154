import { readGpx } from '../../src/formats/gpx/read-gpx.ts';

/** The positions of a plan as a user reads them in its table and its GPX. */
export interface NamedPlaces {
  /** Names of stops and fallbacks with the letter of their side. */
  readonly named: ReadonlySet<string>;
  /** Names in the GPX without their leading number or letter. */
  readonly inGpx: ReadonlySet<string>;
  /** Spots of the stops, in order. */
  readonly stops: readonly string[];
}

/** Finds the named positions of a plan. @param rows Rows of the table, keyed by column. */
export function namedPlaces(rows: readonly Readonly<Record<string, string>>[], gpx: Uint8Array): NamedPlaces {
  const fallback = (text: string): string[] => (text === '' ? [] : [text.split(', ')[0]]);
  return {
    named: new Set(
      rows.flatMap((row) => [
        `${row.spot} ${row.side}`,
        ...fallback(row.fallback_1),
        ...fallback(row.fallback_2),
      ]),
    ),
    inGpx: new Set(
      readGpx(gpx, 'day.gpx', {}).waypoints.map(({ name }) => name.replace(/^(?:\d{2}|F) /, '')),
    ),
    stops: rows.map(({ spot }) => spot),
  };
}

/** Returns the median of latest leave minus leave over the stops, min. */
export function medianSlack(rows: readonly Readonly<Record<string, string>>[]): number {
  const minutes = (text: string): number => {
    const [hours, rest] = text.split(':').map(Number);
    return 60 * hours + rest;
  };
  const slacks = rows
    .map(({ leave, latest_leave: latest }) => minutes(latest) - minutes(leave))
    .sort((a, b) => a - b);
  return slacks[Math.floor(slacks.length / 2)];
}
