import { groups } from 'd3-array';
import type { EnrichedWaypoint } from '../../shared/contract/index.ts';
import { spotName } from './figure-words.ts';
import type { LakeLayout } from './lake-layout.ts';
import type { MapLabels } from './map-labels.ts';
import type { ReportInput } from './report-input.ts';
import { escapeText, type FigurePlace, moved, svgElement } from './svg.ts';

/** Groups the numbers of the stops by spot, because a spot fished twice is one place on the map. */
const stopMarks = ({ plan }: ReportInput) =>
  groups([...(plan?.stops ?? []).entries()], ([, { spot }]) => spot.name).map(([name, stops]) => ({
    name,
    numbers: stops.map(([i]) => i + 1),
    lat: stops[0][1].spot.lat,
    lon: stops[0][1].spot.lon,
  }));

type StopMark = ReturnType<typeof stopMarks>[number];

export const hasProblem = ({ diagnostics }: EnrichedWaypoint): boolean =>
  diagnostics.some(({ severity }) => severity !== 'note');

export const SIGN = '\u26a0\ufe0e';

/** Maximum distance between a mark and a stop that share the symbol of the stop, figure units. */
const SAME = 0.5;
/** Maximum length of a name on the map, characters; the list has the full name. */
const LONGEST_NAME = 16;

const RAMP = '<path class="ramp" d="M-6-6H6V6H-6ZM-6 6L6-6"/>';

interface Symbol {
  readonly place: FigurePlace;
  readonly text: string;
  readonly shape: string;
  /** Radius of the shape, px. */
  readonly radius: number;
  readonly link?: Readonly<Record<string, string | number | undefined>>;
}

/**
 * Draws marks, stops, and ramp, start and end of the day. Each name appears at the first zoom level that has
 * room for it and at all higher levels; a name without room at any level is left out.
 *
 * @param links Which marks link to a section of the page.
 */
export function drawLakeMarks(
  input: ReportInput,
  layout: LakeLayout,
  labels: MapLabels,
  links: 'all' | 'stops' | 'none',
): string {
  const at = ({ lat, lon }: { lat: number; lon: number }): FigurePlace => layout.at(lat, lon);
  const stops = stopMarks(input);
  const symbols = [
    ...layout.ends.map((end): Symbol => ({ place: at(end), text: end.name, radius: 7, shape: RAMP })),
    ...stops.map((stop) => stopSymbol(stop, at(stop), input)),
    ...layout.shown
      .map((spot) => markSymbol(spot, at(spot.waypoint)))
      .filter(
        ({ place: [x, y] }) => !stops.some((stop) => Math.hypot(at(stop)[0] - x, at(stop)[1] - y) < SAME),
      ),
  ];
  for (const { place, radius } of symbols) labels.take(place, radius);
  const drawn = symbols.map((symbol) => {
    const label = labels.beside(symbol.place, symbol.text, symbol.radius);
    const text =
      label === undefined
        ? ''
        : `<text class="mid n${label.level}" x="${Math.round(label.offset[0])}" y="${Math.round(label.offset[1] + 4)}"> ${escapeText(symbol.text)}</text>`;
    const markup = `<g ${moved(symbol.place)}><g class="fix">${symbol.shape}${text}</g></g>`;
    const isLinked = links === 'all' || (links === 'stops' && symbol.link?.['data-stop'] !== undefined);
    return isLinked && symbol.link ? svgElement('a', { ...symbol.link, tabindex: -1 }, markup) : markup;
  });
  // Later elements are drawn on top, so the most important ones come last.
  return `<g class="names">${drawn.reverse().join('')}</g>`;
}

function stopSymbol({ numbers, name }: StopMark, place: FigurePlace, { waypoints }: ReportInput): Symbol {
  const text = numbers.join(',');
  const half = 5 + text.length * 4;
  const spot = waypoints.find(({ waypoint }) => waypoint.name === name);
  return {
    place,
    text: nameOnMap(name, spot),
    radius: half,
    shape: `<rect class="stop-no" x="${-half}" y="-10" width="${2 * half}" height="20" rx="10"/><text class="mid" y="4.6">${text}</text>`,
    link: { href: `#stop-${numbers[0]}`, 'aria-label': `Stop ${text} ${name}`, 'data-stop': text },
  };
}

function markSymbol(spot: EnrichedWaypoint, place: FigurePlace): Symbol {
  const isFished = spot.fields.downslope_lat !== undefined || spot.fields.upslope_lat !== undefined;
  const number = spot.waypoint.index + 1;
  return {
    place,
    text: nameOnMap(spotName(spot), spot),
    radius: 5,
    shape: `<circle class="${isFished ? 'spot' : 'spot open'}" r="4"/>`,
    link: {
      href: `#spot-${number}`,
      'aria-label': `Spot ${number}: ${spotName(spot)}${isFished ? '' : ', no cast'}${hasProblem(spot) ? ', see its notes' : ''}`,
      'data-spot': number,
    },
  };
}

function nameOnMap(name: string, spot: EnrichedWaypoint | undefined): string {
  const letters = [...name];
  const short = letters.length > LONGEST_NAME ? `${letters.slice(0, LONGEST_NAME - 1).join('')}\u2026` : name;
  return spot !== undefined && hasProblem(spot) ? `${short} ${SIGN}` : short;
}
