import { toMeters } from '../../shared/contract/index.ts';
import { isDrawn } from '../../shared/day/index.ts';
import { lengthUnit } from '../../shared/text/index.ts';
import { runsOf } from '../day/index.ts';
import type { SurveyColumns } from './figure-context.ts';
import { figureRoot, NORTH_ARROW } from './figure-root.ts';
import { drawLakeGround } from './lake-ground.ts';
import { type LakeLayout, lakeLayout, MAP_WIDTH } from './lake-layout.ts';
import { drawLakeMarks } from './lake-marks.ts';
import { MapLabels } from './map-labels.ts';
import type { ReportInput } from './report-input.ts';
import { areaPath, type FigurePlace, linePath, moved, pair, short, simplify, textElement } from './svg.ts';

/** Height of the strip below the map for the scale bar, figure units. */
const STRIP = 40;

const ARROW: FigurePlace = [MAP_WIDTH - 45, 45];

export type LakeMap = ReturnType<typeof lakeMap>;

/**
 * Draws the map of the whole lake: depth tints and isobaths where sounded; passes; lips, crests, humps and
 * holes if the lake is modeled; zones; the day's route, ramp, start and end; and marks and stops with names
 * and warning signs.
 *
 * The root carries `data-lat` and `data-lon`, the origin; `data-west` and `data-north`, the northwest corner
 * in m from the origin; and `data-scale`, figure units per m. The content of a `fix` group is in screen
 * pixels: the custom property `--px` gives the figure units per pixel.
 *
 * @returns `svg`, the figure; its `layout`; and `ground`, with the isobaths and depths for the legend.
 */
export function lakeMap(input: ReportInput, isStandalone = false, hasSections = true) {
  const layout = lakeLayout(input);
  const labels = new MapLabels([MAP_WIDTH, layout.height]);
  labels.take(ARROW, 22);
  const marks = drawLakeMarks(input, layout, labels, isStandalone ? 'none' : hasSections ? 'all' : 'stops');
  const ground = drawLakeGround(input, layout, labels);
  const box = `0 0 ${MAP_WIDTH} ${short(layout.height)}`;
  const outline = `M0 0H${MAP_WIDTH}V${short(layout.height)}H0Z`;
  const content = [
    // A separate file is viewed at a large size, where labels of the first two levels have room.
    `<svg class="map" width="${MAP_WIDTH}" height="${short(layout.height)}" viewBox="${box}" data-level="${isStandalone ? '0 1' : '0'}">`,
    `<path class="t0" d="${outline}"/>`,
    ground.markup,
    drawPasses(input.survey, layout),
    drawForms(input, layout),
    drawZones(input, layout),
    ground.labels,
    drawRoute(input, layout),
    marks,
    '</svg>',
    `<path class="frame" d="${outline}"/>`,
    `<g ${moved(ARROW)}><g class="fix">${NORTH_ARROW}</g></g>`,
    scaleBar(input, layout),
  ];
  const svg = figureRoot(content.join(''), {
    width: MAP_WIDTH,
    height: layout.height + STRIP,
    label: `Map of ${input.title}: depths where it was sounded, and ${layout.shown.length} marks. North up.`,
    name: 'overview',
    isInteractive: !isStandalone,
    data: {
      lat: layout.frame.lat,
      lon: layout.frame.lon,
      west: layout.extent.west,
      north: layout.extent.north,
      scale: layout.scale,
    },
    isStandalone,
  });
  return { svg, layout, ground };
}

/** Tolerance for thinning drawn passes, figure units. */
const PASS_TOLERANCE = 0.7;
/** Maximum gap between soundings that the line of a pass bridges, m. */
const PASS_GAP = 60;

function drawPasses(survey: SurveyColumns, layout: LakeLayout): string {
  let d = '';
  let open: FigurePlace[] = [];
  let pass: number | undefined;
  const close = () => {
    const line = simplify(open, PASS_TOLERANCE);
    if (line.length > 1) d += linePath(line);
    open = [];
  };
  for (let i = 0; i < survey.count; i += 1) {
    const place = layout.at(survey.lat[i], survey.lon[i]);
    const last = open[open.length - 1];
    const jump = last === undefined ? 0 : Math.hypot(place[0] - last[0], place[1] - last[1]);
    if (survey.pass[i] !== pass || jump > PASS_GAP * layout.scale) close();
    pass = survey.pass[i];
    if (jump < 0.5 && open.length > 0) continue;
    open.push(place);
  }
  close();
  return `<path class="pass n1" d="${d}"/>`;
}

/** Minimum length of a lip or crest on the map, m. */
const MIN_LINE = 30;

/** Draws lips and crests as lines, humps and holes as outlines; other forms would crowd the map. */
function drawForms({ lake }: ReportInput, { at }: LakeLayout): string {
  if (lake === undefined) return '';
  const thinned = (places: readonly (readonly [lat: number, lon: number])[]): FigurePlace[] =>
    simplify(
      places.map((place) => at(...place)),
      0.3,
    );
  const lines = lake.lines
    .filter(({ kind, length }) => (kind === 'lip' || kind === 'crest') && length >= MIN_LINE)
    .map(
      ({ kind, places, isInferred }) =>
        `<path class="${kind}${kind === 'crest' ? ' n1' : ''}${isInferred ? ' guess' : ''}" d="${linePath(thinned(places))}"/>`,
    );
  const areas = lake.areas
    .filter(({ kind }) => kind === 'hump' || kind === 'hole')
    .map(({ rings }) => `<path class="form" d="${rings.map((ring) => areaPath(thinned(ring))).join('')}"/>`);
  return `<g class="forms">${areas.join('')}${lines.join('')}</g>`;
}

function drawZones({ zones = [] }: ReportInput, { at }: LakeLayout): string {
  const paths = zones.map(({ rule, polygons }) => {
    const rings = polygons.flat().map((ring) => areaPath(ring.map(([lon, lat]) => at(lat, lon))));
    return `<path class="zone ${rule}" fill-rule="evenodd" d="${rings.join('')}"/>`;
  });
  return paths.length === 0 ? '' : `<g class="zones">${paths.join('')}</g>`;
}

/** Draws the parts of the day's runs that are over known water. */
function drawRoute({ plan }: ReportInput, { at }: LakeLayout): string {
  if (plan === undefined) return '';
  const d = runsOf(plan)
    .flatMap(({ parts }) => parts.filter(isDrawn))
    .map(({ line }) => linePath(line.map(({ lat, lon }) => at(lat, lon))))
    .join('');
  return d === '' ? '' : `<path class="casing" d="${d}"/><path class="route" d="${d}"/>`;
}

const BAR_LENGTHS = [5, 10, 20, 50, 100, 200, 250, 500, 1000, 2000, 5000, 10_000];
/** Maximum length of the scale bar, figure units. */
const LONGEST_BAR = 220;

/**
 * Draws the scale bar. `data-bars` lists all bars as `LENGTH=LABEL`, lengths in figure units, so that the
 * page's script can choose another bar on zooming.
 */
function scaleBar({ units }: ReportInput, { height, scale }: LakeLayout): string {
  const unit = lengthUnit(units);
  const bars = BAR_LENGTHS.map((length) => [toMeters(length, unit) * scale, `${length} ${unit}`] as const);
  const [wide, text] = bars.findLast(([each]) => each <= LONGEST_BAR) ?? bars[0];
  const y = height + 14;
  return [
    `<g class="bar" data-longest="${LONGEST_BAR}" data-bars="${bars.map(([each, words]) => `${short(each, 3)}=${words}`).join(';')}" transform="translate(0 ${short(y)})">`,
    `<path class="frame" d="M.5 0v8h${short(wide)}v-8"/>`,
    `<g class="bar-end" transform="translate(${short(wide)} 8)"><text class="fix" x="6">${text}</text></g></g>`,
    `<g transform="translate(${pair(MAP_WIDTH, y + 8)})"><g class="fix">${textElement('north up', [0, 0], 'end soft')}</g></g>`,
  ].join('');
}
