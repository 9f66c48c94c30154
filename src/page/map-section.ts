import { type DisplayUnits, fromMeters } from '../../shared/contract/index.ts';
import { compassText, geodesicInverse } from '../../shared/geo/index.ts';
import { distanceText } from '../../shared/text/index.ts';
import { spotName } from './figure-words.ts';
import { type LakeMap, lakeMap } from './lake-map.ts';
import { SIGN } from './lake-marks.ts';
import { ZOOM_LEVELS } from './map-labels.ts';
import type { ReportInput } from './report-input.ts';
import { escapeText } from './svg.ts';

/**
 * Writes the lake as a section of a page: the map, its legend, and the marks and places off the map.
 *
 * @param hasSections True when every spot has a section on the page that its mark can link to.
 */
export function mapSection(input: ReportInput, hasSections: boolean): string {
  const map = lakeMap(input, false, hasSections);
  const buttons = [
    ['in', '+', 'Zoom in'],
    ['out', '\u2212', 'Zoom out'],
    ['whole', 'Whole lake', 'Whole lake'],
  ].map(
    ([id, text, label]) => `<button type="button" data-map="${id}" aria-label="${label}">${text}</button>`,
  );
  return [
    '<section class="lake" aria-labelledby="map"><h2 id="map">The lake</h2>',
    `<figure class="overview" tabindex="0" aria-label="Map of the lake" data-levels="${ZOOM_LEVELS.join(' ')}">`,
    `${map.svg}<div class="map-tools needs-script">${buttons.join('')}<span>or drag and pinch</span></div></figure>`,
    legend(input, map),
    setAside(input, map, hasSections),
    '</section>',
  ].join('');
}

function legend(input: ReportInput, { ground: { isobaths, depths } }: LakeMap): string {
  const { units, lake, plan, zones = [] } = input;
  const limits = isobaths.depths
    .filter((_, i) => isobaths.tints[i] !== undefined)
    .map((each) => rounded(each, units));
  const [least, most] = depths.map((each) => rounded(each, units));
  const chips = [least, ...limits].map((from, i, all) => {
    const to = all[i + 1] ?? Math.max(most, from);
    return `<span class="chip t${i}">${from}\u2013${to}</span>`;
  });
  const signs = [
    ...(plan === undefined
      ? []
      : ['<b class="pill">1</b> Stops in order, with the run between them over sounded water']),
    '\u25cf Mark with a cast, \u25cb without',
    `${SIGN} Mark with a warning`,
    ...(lake === undefined
      ? []
      : [
          'Thick line: a lip. Dotted ring: a hump or hole. When zoomed in, dash-dot line: a crest; thin line: a pass. Thin dashed line: a lip or crest that no pass crossed',
        ]),
    ...(zones.length === 0 ? [] : ['Hatched with an edge: closed zone. Shaded: slow zone']),
    'Blank: not sounded',
  ];
  const source = lake === undefined ? 'smoothed' : 'from the model of the whole lake';
  const hasDepths = depths[1] > 0;
  const contours = hasDepths
    ? `Contours every ${isobaths.interval} ${units}, ${source}.`
    : 'No depths: no sonar logs were given.';
  return [
    hasDepths ? `<p class="legend" aria-label="Depth tints">${chips.join('')} ${units}</p>` : '',
    `<p class="soft">${contours} ${signs.join('. ')}.</p>`,
  ].join('');
}

const rounded = (meters: number, units: DisplayUnits): number => Math.round(fromMeters(meters, units));

/** Lists the marks, ramp, start and end that are too far away for the map, with distance and direction. */
function setAside({ units, date }: ReportInput, { layout }: LakeMap, hasSections: boolean): string {
  const { far, farEnds, extent, frame } = layout;
  if (far.length + farEnds.length === 0) return '';
  const [lat, lon] = frame.toGeographic((extent.west + extent.east) / 2, (extent.south + extent.north) / 2);
  const way = (place: { readonly lat: number; readonly lon: number }): string => {
    const { distance, bearing } = geodesicInverse(lat, lon, place.lat, place.lon);
    return `${distanceText(distance, units)}, ${compassText(bearing, lat, lon, date)}`;
  };
  const items = [
    ...farEnds.map((end) => `<li>${escapeText(end.name)}: ${way(end)}</li>`),
    ...far.map((spot) => {
      const name = escapeText(spotName(spot));
      return `<li>${hasSections ? `<a href="#spot-${spot.waypoint.index + 1}">${name}</a>` : name}: ${way(spot.waypoint)}</li>`;
    }),
  ];
  return `<h3>Too far off for the map (${items.length})</h3><p class="soft">Distances and bearings are from the middle of the map.</p><ul class="aside">${items.join('')}</ul>`;
}
