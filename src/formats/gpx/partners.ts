import type { Report } from '../../../shared/contract/index.ts';
import { decimalsOf, gpxMessages as says } from '../../../shared/text/index.ts';
import { readBoatEdits } from './boat-edits.ts';
import { type GpxWaypoint, markPlace, type PartnerMark } from './gpx-document.ts';
import { isMangled, isNumber } from './mangled-names.ts';
import { type LedgerEntry, matchLedger, matchMoved, roundingOf } from './match-ledger.ts';
import { findMaybeMoved } from './maybe-moved.ts';
import { createNearIndex, type LatLon, nearDistance, nearestPlace } from './near.ts';
import { ownElement } from './previous-additions.ts';
import { isProposedEntry } from './proposed-gpx.ts';

/** GPX `type` of the boat positions that we write. */
export const BOAT_TYPE = 'boat position';
/** Suffixes recognized without our element: the two sides, and the next angles. */
const SUFFIXES = ['D', 'U', ...Array.from({ length: 9 }, (_, i) => `A${i + 1}`)];
/** Maximum distance of a boat position from its mark, and of a user's move, m: about three long casts. */
const REACH = 250;
/** Maximum shift of a boat position that the user did not move, m; a chartplotter's rounding is about 2 m. */
const MOVED = 3;
/** Maximum distance by which a chartplotter with 4 decimals moves a mark, m. */
const SAME_MARK = 12;
/** Our comment on a boat position, perhaps cut by a chartplotter, but too long to be written by chance. */
const BOAT_COMMENT =
  /^boat [\d.]+ ?(?:ft|m)(?:(?: (?:shallow|opposite(?: deep)?|any) side)?, ?(?:ca?|cas|cast|cast \d.*)| (?:shal|oppo)[a-z ]*)$/i;

/**
 * Finds the boat positions of earlier runs among waypoints, with the user's changes.
 *
 * A boat position is recognized by the ledger, by our element, or by its type or comment. It must also have
 * the name of a boat position, as a chartplotter may have changed it. In a file with other traces of ours, a
 * waypoint with only a matching name and place may be a boat position and is kept. A boat position that the
 * user renamed is the user's own waypoint.
 *
 * @param given Ledger: what earlier runs wrote, if known.
 * @returns The waypoints in order; boat positions have `partner`.
 */
export function recognizePartners(
  waypoints: readonly GpxWaypoint[],
  report: Report,
  given: readonly LedgerEntry[] = [],
): readonly GpxWaypoint[] {
  const boatsGiven = given.filter((entry) => !isProposedEntry(entry));
  const usable = waypoints.filter(({ canEnrich }) => canEnrich);
  const decimals = coordinateDecimals(waypoints);
  const ledger = matchLedger(usable, boatsGiven, decimals);
  const withoutElement = usable.filter((waypoint) => boatElement(waypoint) === undefined);
  const moved = matchMoved(withoutElement, boatsGiven, ledger, REACH);
  const maybe = findMaybeMoved(
    usable.filter((waypoint) => !hasSignature(waypoint) || ledger.has(waypoint)),
    boatsGiven,
    new Map([...ledger, ...moved]),
    roundingOf(decimals),
    REACH,
  );
  const likely = new Map(
    [...maybe].flatMap(([waypoint, { entry, isLikely }]) => (isLikely ? [[waypoint, entry]] : [])),
  );
  const marks = waypoints.filter(
    (waypoint) =>
      !hasSignature(waypoint) && !ledger.has(waypoint) && !moved.has(waypoint) && !likely.has(waypoint),
  );
  const known = createMarks(marks);
  const enrichedBefore = new Set(given.map(({ of }) => of));
  const hasTraces = waypoints.some((waypoint) => hasSignature(waypoint) || isEnriched(waypoint));
  const marked = waypoints.map((waypoint) => {
    const entry = ledger.get(waypoint) ?? moved.get(waypoint) ?? likely.get(waypoint);
    const suspicion = maybe.get(waypoint);
    if (suspicion !== undefined)
      report(says['boat-maybe-moved'](markPlace(waypoint), suspicion.entry.name, suspicion.isLikely));
    const given = entry ?? writtenOn(waypoint);
    if (entry === undefined || boatElement(waypoint) !== undefined) {
      const isNameEnough = hasTraces && !enrichedBefore.has(waypoint.name);
      return { waypoint, given, partner: recognize(waypoint, known, isNameEnough, report) };
    }
    if (moved.has(waypoint)) report(says['boat-moved'](markPlace(waypoint)));
    const of = ownerGiven(waypoint, entry, known)?.fileIndex;
    const by = ledger.has(waypoint) ? 'ledger' : 'moved';
    return { waypoint, given, partner: { by, of, suffix: entry.suffix } as const };
  });
  const boats = marked.filter(({ partner }) => partner !== undefined && isReplaceable(partner));
  const edits = readBoatEdits(boats);
  return marked.map(({ waypoint, partner }) =>
    partner === undefined ? waypoint : { ...waypoint, partner: { ...partner, edits: edits.get(waypoint) } },
  );
}

function createMarks(marks: readonly GpxWaypoint[]) {
  const find = createNearIndex(() => marks);
  // When several marks have the same name, the first one counts.
  const byName = new Map(marks.toReversed().map((mark) => [mark.name, mark]));
  return {
    find,
    named: (name: string) => byName.get(name),
    nearest: (at: LatLon, radius: number, fits: (name: string) => boolean): GpxWaypoint | undefined =>
      nearestPlace(
        at,
        find(at, radius).filter(({ name }) => fits(name)),
      ),
  };
}
type Marks = ReturnType<typeof createMarks>;

/**
 * True for a boat position that may be replaced: there is more evidence than its name and place that it is
 * ours, and none that the user moved it.
 */
export const isReplaceable = ({ by }: PartnerMark): boolean =>
  by === 'ledger' || by === 'element' || by === 'signature';

/** Returns the mark that a boat position was written for, according to its ledger entry. */
function ownerGiven(waypoint: GpxWaypoint, { of, ofLat, ofLon }: LedgerEntry, marks: Marks) {
  const isOwner = (name: string): boolean => isMangled(name, of);
  const place = ofLat === undefined || ofLon === undefined ? undefined : { lat: ofLat, lon: ofLon };
  return (
    (place && marks.nearest(place, SAME_MARK, isOwner)) ??
    marks.named(of) ??
    marks.nearest(waypoint, REACH, (name) => isOwner(name) && !isNumber(name)) ??
    ownerByName(waypoint, marks)?.of
  );
}

/** Returns the maximum number of decimals among the coordinates of a file, but not more than 7. */
export function coordinateDecimals(waypoints: readonly GpxWaypoint[]): number {
  let most = 0;
  for (const { lat, lon } of waypoints)
    for (const degrees of [lat, lon])
      if (!Number.isNaN(degrees)) most = Math.max(most, decimalsOf(String(degrees)));
  return Math.min(7, most);
}

const isEnriched = ({ place, isSummarized }: GpxWaypoint): boolean =>
  isSummarized || ownElement(place, 'waypoint') !== undefined;

function recognize(
  waypoint: GpxWaypoint,
  marks: Marks,
  isNameEnough: boolean,
  report: Report,
): PartnerMark | undefined {
  const boat = boatElement(waypoint);
  if (boat !== undefined) return recognizeElement(waypoint, boat, marks, report);
  const isSigned = isSignedInText(waypoint);
  if (!waypoint.canEnrich || (!isSigned && !isSuffixed(waypoint.name))) return undefined;
  const owner = ownerByName(waypoint, marks);
  if (isSigned) {
    if (owner !== undefined) return { by: 'signature', of: owner.of.fileIndex, suffix: owner.suffix };
    const isUnitsName = waypoint.name === '' || isSuffixed(waypoint.name) || isNumber(waypoint.name);
    return isUnitsName ? { by: 'signature' } : undefined;
  }
  if (owner === undefined || !owner.isExact || !isNameEnough || isEnriched(waypoint)) return undefined;
  report(says['boat-position'](markPlace(waypoint), owner.of.name));
  return { by: 'name', of: owner.of.fileIndex, suffix: owner.suffix };
}

function recognizeElement(
  waypoint: GpxWaypoint,
  boat: Readonly<Record<string, string>>,
  marks: Marks,
  report: Report,
): PartnerMark | undefined {
  const { of = '', side, name: written = '' } = boat;
  if (!isMangled(waypoint.name, written)) return undefined;
  const mark =
    marks.nearest(waypoint, REACH, (name) => name === of) ??
    marks.nearest(waypoint, REACH, (name) => isMangled(name, of)) ??
    marks.named(of);
  const place = { lat: Number(boat.lat), lon: Number(boat.lon) };
  const isMoved = waypoint.canEnrich && nearDistance(waypoint, place) > MOVED;
  if (isMoved) report(says['boat-moved'](markPlace(waypoint)));
  return { by: isMoved ? 'moved' : 'element', of: mark?.fileIndex, suffix: side };
}

/** Returns the comment and symbol originally written on a plugin's position, from our element. */
function writtenOn({ place }: GpxWaypoint): Pick<LedgerEntry, 'comment' | 'symbol'> | undefined {
  const boat = ownElement(place, 'boat');
  const textOf = (name: string): string | undefined =>
    boat?.children?.find(({ local, uri }) => local === name && uri === boat.uri)?.text;
  const comment = textOf('text');
  return comment === undefined ? undefined : { comment, symbol: textOf('symbol') ?? '' };
}

const boatElement = ({ place }: GpxWaypoint): Readonly<Record<string, string>> | undefined =>
  ownElement(place, 'boat')?.attributes;

const hasSignature = (waypoint: GpxWaypoint): boolean =>
  boatElement(waypoint) !== undefined || isSignedInText(waypoint);

const isSignedInText = ({ type, comment }: GpxWaypoint): boolean =>
  type.toLowerCase() === BOAT_TYPE || BOAT_COMMENT.test(comment);

/**
 * Finds the mark whose name with a suffix gives this waypoint's name, as a chartplotter may have changed it:
 * an exact name first, then the nearest mark.
 *
 * @returns `of`: the mark. `isExact`: whether the name is spelled in full. `distance`: to the mark, m.
 */
function ownerByName(waypoint: GpxWaypoint, marks: Marks) {
  const owners = marks
    .find(waypoint, REACH)
    .filter((of) => of !== waypoint && of.name !== '')
    .flatMap((of) =>
      [...SUFFIXES, ...ownSuffix(waypoint)]
        .filter((suffix) => isMangled(waypoint.name, `${of.name} ${suffix}`))
        .map((suffix) => ({
          of,
          suffix,
          isExact: isSpelled(waypoint.name, of.name, suffix),
          distance: nearDistance(waypoint, of),
        })),
    );
  owners.sort((a, b) => Number(b.isExact) - Number(a.isExact) || a.distance - b.distance);
  return owners[0];
}

/** Returns the suffix at the end of a name if the type is `BOAT_TYPE`: plugins have suffixes of their own. */
const ownSuffix = ({ name, type }: GpxWaypoint): string[] =>
  type.toLowerCase() === BOAT_TYPE ? (/[ _-]([A-Z]{1,3})\d*$/i.exec(name)?.slice(1) ?? []) : [];

const isSpelled = (name: string, owner: string, suffix: string): boolean =>
  [' ', '_', '-'].some((gap) => name.toUpperCase() === `${owner}${gap}${suffix}`.toUpperCase());

const isSuffixed = (name: string): boolean => /[ _-]([DU]\d*|A[1-9])$/i.test(name);
