import type { DisplayUnits, EnrichedWaypoint } from '../../../shared/contract/index.ts';
import { castBearing, type FishingSpot, type SpotSide } from '../../../shared/day/index.ts';
import { geodesicInverse } from '../../../shared/geo/index.ts';
import { bearingText, depthRange, depthText, distanceText, lengthText } from '../../../shared/text/index.ts';
import { element } from './dom.ts';
import type { Session } from './session.ts';

/** Maximum distance written in yards or meters, m; longer distances are in miles or kilometers. */
const SHORT = 900;

/** Writes a distance such as `48 yd` or `0.8 mi`. */
export const boatDistanceText = (meters: number, units: DisplayUnits): string =>
  distanceText(meters, units, SHORT, ' ');

export function cardFacts(
  spot: FishingSpot,
  side: SpotSide,
  units: DisplayUnits,
): readonly (readonly [name: string, text: string])[] {
  const facts: [string, string | undefined][] = [
    ['Sit in', side.depth === undefined ? undefined : depthText(side.depth, units, ' ')],
    [
      'Throw',
      side.cast === undefined ? undefined : `${castBearing(side)} ${lengthText(side.cast, units, ' ')}`,
    ],
    ['Fish', spot.fish === undefined ? undefined : depthRange(spot.fish.top, spot.fish.bottom, units, ' ')],
    ['Lure', spot.lure],
    ['Lands in', side.landingDepth === undefined ? undefined : depthText(side.landingDepth, units, ' ')],
  ];
  return facts.flatMap(([name, text]) => (text === undefined ? [] : [[name, text] as const]));
}

export const cardList = ({ data }: Session, spot: FishingSpot, side: SpotSide, sketch: Node): HTMLElement =>
  element(
    'div',
    { class: 'card' },
    element(
      'dl',
      ...cardFacts(spot, side, data.units).flatMap(([name, text]) => [
        element('dt', name),
        element('dd', text),
      ]),
    ),
    sketch,
  );

/**
 * Writes text such as `Boat spot 240 yd at 144M`, or that the boat is there; undefined if the boat's position
 * is unknown or only assumed from a spot.
 */
export function directionToBoat(session: Session, spot: FishingSpot, side: SpotSide): string | undefined {
  const place = session.position.now;
  if (place === undefined || place.source === 'spot') return undefined;
  const { distance, bearing } = geodesicInverse(place.lat, place.lon, side.lat, side.lon);
  if (distance <= Math.max(5, place.exact ?? 0))
    return 'You are on the boat spot, as far as the phone can tell';
  return `Boat spot ${boatDistanceText(distance, session.data.units)} at ${bearingText(bearing, 'M', session.mark(spot.name)?.fields.declination)}`;
}

/**
 * Lists the spots of upcoming stops in order, then all other spots by the product of their quality and the
 * worth of their first side, highest first.
 */
export function rankedSpots({ planner, hand }: Session): FishingSpot[] {
  const planned = [...new Set(hand.coming.map(({ spot }) => spot.name))];
  const worth = ({ sides, quality }: FishingSpot): number => sides[0].worth * quality;
  const rest = planner.spots
    .filter(({ name }) => !planned.includes(name))
    .toSorted((a, b) => worth(b) - worth(a));
  return [...planned.flatMap((name) => planner.spot(name) ?? []), ...rest];
}

export function markWords(mark: EnrichedWaypoint | undefined): string {
  if (mark === undefined) return '';
  const { structure, structure_confidence: sure } = mark.fields;
  const words =
    structure === undefined ? '' : `${structure}${sure === undefined ? '' : ` ${Math.round(100 * sure)} %`}`;
  return [words, mark.waypoint.comment].filter((text) => text !== '').join(': ');
}
