import { isProposed } from '../../../shared/text/index.ts';
import { escapeXml, ownGpx } from './escape-xml.ts';
import { type LedgerEntry, matchLedger, type Returned } from './match-ledger.ts';

const PROPOSED_TYPE = 'proposed place';
/** Suffix of proposed places in the ledger; they belong to no mark. */
const SUFFIX = 'N';

export interface ProposedWaypoint {
  readonly name: string;
  readonly lat: number;
  readonly lon: number;
  /** Short text, which begins with `Proposed place, not fished`. */
  readonly comment: string;
  /** Long text, which begins with `Proposed place, not fished`. */
  readonly description: string;
}

/** Formats proposed places as GPX 1.1, to be enriched like any file of marks. */
export const formatProposedGpx = (places: readonly ProposedWaypoint[]): string =>
  ownGpx([
    '  <metadata><desc>Proposed places that nobody has seen fish on. Not for navigation.</desc></metadata>',
    ...places.map(
      ({ name, lat, lon, comment, description }) =>
        `  <wpt lat="${lat.toFixed(7)}" lon="${lon.toFixed(7)}">\n    <name>${escapeXml(name, 'utf-8')}</name>\n    <cmt>${escapeXml(comment, 'utf-8')}</cmt>\n    <desc>${escapeXml(description, 'utf-8')}</desc>\n    <type>${PROPOSED_TYPE}</type>\n  </wpt>`,
    ),
  ]);

export const proposedEntries = (places: readonly ProposedWaypoint[]): LedgerEntry[] =>
  places.map(({ name, lat, lon, comment }) => ({
    name,
    lat: Number(lat.toFixed(7)),
    lon: Number(lon.toFixed(7)),
    of: '',
    suffix: SUFFIX,
    comment,
    symbol: '',
  }));

export const isProposedEntry = ({ of, suffix }: LedgerEntry): boolean => of === '' && suffix === SUFFIX;

/** Number of decimals that a chartplotter is assumed to keep in coordinates; the fifth is about 1 m. */
const DECIMALS = 5;

/** Returns the proposed places of an earlier run, recognized by type, by text, or by the ledger. */
export function proposedAmong<T extends Returned & { readonly type: string }>(
  waypoints: readonly T[],
  given: readonly LedgerEntry[],
): ReadonlySet<T> {
  const known = matchLedger(waypoints, given.filter(isProposedEntry), DECIMALS);
  return new Set(
    waypoints.filter(
      (waypoint) =>
        known.has(waypoint) || waypoint.type.toLowerCase() === PROPOSED_TYPE || isProposed(waypoint),
    ),
  );
}
