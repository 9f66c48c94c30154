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
/** Maximum distance of a boat position from its mark, or of a user's move, m: three of the longest casts. */
const REACH = 250;
/** Distance beyond which a boat position was moved by the user, m. A unit's rounding moves it about 2 m. */
const MOVED = 3;
/** Greatest distance that a unit with 4 decimals moves a mark, m. */
const SAME_MARK = 12;
/** Start of our comments on boat positions, perhaps cut by a unit, that nobody writes by chance. */
const BOAT_COMMENT =
  /^boat [\d.]+ ?(?:ft|m)(?:(?: (?:shallow|opposite(?: deep)?|any) side)?, ?(?:ca?|cas|cast|cast \d.*)| (?:shal|oppo)[a-z ]*)$/i;

/**
 * Finds the boat positions of earlier runs among waypoints, with the user's changes.
 *
 * A boat position is recognized by the ledger, by our element, or by its type or comment, as long as it still
 * has the name of a boat position (which a unit may have cut, numbered or capitalized). In a file with other
 * traces of ours, a waypoint with only a matching name and place may be a boat position and is kept. A boat
 * position that the user renamed is the user's own waypoint.
 *
 * @param given What earlier runs wrote, if known.
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

/** Indexes the marks of a file by place and by name. */
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

/** True for a boat position that is certainly ours, so it may be replaced. */
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

/** Returns the most decimals among the coordinates of a file, which its unit kept; 7 at most. */
export function coordinateDecimals(waypoints: readonly GpxWaypoint[]): number {
  let most = 0;
  for (const { lat, lon } of waypoints)
    for (const degrees of [lat, lon])
      if (!Number.isNaN(degrees)) most = Math.max(most, decimalsOf(String(degrees)));
  return Math.min(7, most);
}

/** True for a mark that an earlier run enriched, according to our element or comment in it. */
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

/** True when our element, the type or the comment shows a boat position. */
const hasSignature = (waypoint: GpxWaypoint): boolean =>
  boatElement(waypoint) !== undefined || isSignedInText(waypoint);

const isSignedInText = ({ type, comment }: GpxWaypoint): boolean =>
  type.toLowerCase() === BOAT_TYPE || BOAT_COMMENT.test(comment);

/** Finds the waypoint whose name plus a suffix is this waypoint's name: exact names first, then near ones. */
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

/** Returns the suffix of a plugin's position, if the type says that the waypoint is a boat position. */
const ownSuffix = ({ name, type }: GpxWaypoint): string[] =>
  type.toLowerCase() === BOAT_TYPE ? (/[ _-]([A-Z]{1,3})\d*$/i.exec(name)?.slice(1) ?? []) : [];

const isSpelled = (name: string, owner: string, suffix: string): boolean =>
  [' ', '_', '-'].some((gap) => name.toUpperCase() === `${owner}${gap}${suffix}`.toUpperCase());

const isSuffixed = (name: string): boolean => /[ _-]([DU]\d*|A[1-9])$/i.test(name);
