import { type DisplayUnits, type EnrichedWaypoint, toMeters } from '../../shared/contract/index.ts';
import { type LocalFrame, localFrame } from '../../shared/geo/index.ts';
import { depthNumber, lengthUnit } from '../../shared/text/index.ts';
import { figureRoot } from './figure-root.ts';
import { spotName } from './figure-words.ts';
import { chooseIsobaths, type FigureGrid, traceIsobath } from './isobaths.ts';
import { placeOnLine } from './label-places.ts';
import type { SurveyColumns } from './near-soundings.ts';
import { type OverviewExtent, type OverviewGrid, overviewGrid } from './overview-grid.ts';
import type { ReportInput } from './report-input.ts';
import { element, type FigurePlace, linePath, pair, short, simplify, textElement } from './svg.ts';

/** Longer side of the map, figure units, and the strip below it. */
const LONG = 720;
const STRIP = 30;

/** m shown beyond the outermost spot or sounding. */
const MARGIN = 120;

/** Map of the lake in the figure. */
interface LakeMap {
  readonly frame: LocalFrame;
  readonly extent: OverviewExtent;
  readonly width: number;
  readonly height: number;
  /** Figure units per m. */
  readonly scale: number;
  toFigure(east: number, north: number): FigurePlace;
}

/**
 * Map of the whole lake: where was sounded, isobaths there, and every spot by number, linked to its section.
 *
 * The root carries `data-lat`, `data-lon` (origin), `data-west`, `data-north`, `data-scale` as plan views do.
 */
export function overviewFigure(input: ReportInput, isStandalone = false): string {
  const map = lakeMap(input);
  const grid = overviewGrid(input.survey, map.frame, map.extent);
  const taken = input.waypoints.map(({ waypoint }) =>
    map.toFigure(...map.frame.toLocal(waypoint.lat, waypoint.lon)),
  );
  const ground = drawGround(grid, map, input.units, [...taken]);
  const outline = `M0 0H${short(map.width)}V${short(map.height)}H0Z`;
  const content = [
    `<path class="shallow" d="${outline}"/>`,
    ground.markup,
    drawPasses(input.survey, map),
    ground.labels,
    drawSpots(input.waypoints, taken, map, isStandalone),
    `<path class="frame" d="${outline}"/>`,
    `<g transform="translate(${short(map.width - 20)} 24)"><circle class="paper" r="16"/><path d="M0-12L4 5L0 2L-4 5Z"/><text class="mid bold" y="15">N</text></g>`,
    strip(map, input.units, ground.interval),
  ];
  return figureRoot(content.join(''), {
    width: map.width,
    height: map.height + STRIP,
    label: `Map of ${input.title}: passes of the boat, isobaths where it sounded, and ${input.waypoints.length} numbered spots. North up.`,
    name: 'overview',
    isInteractive: !isStandalone,
    data: {
      lat: map.frame.lat,
      lon: map.frame.lon,
      west: map.extent.west,
      north: map.extent.north,
      scale: map.scale,
    },
    isStandalone,
  });
}

function lakeMap({ waypoints, survey }: ReportInput): LakeMap {
  const origin = waypoints[0]?.waypoint ?? {
    lat: survey.lat[0] ?? 0,
    lon: survey.lon[0] ?? 0,
  };
  const frame = localFrame(origin.lat, origin.lon);
  let [west, east, south, north] = [0, 0, 0, 0];
  const reach = (lat: number, lon: number) => {
    const [x, y] = frame.toLocal(lat, lon);
    if (!Number.isFinite(x + y)) return;
    [west, east] = [Math.min(west, x), Math.max(east, x)];
    [south, north] = [Math.min(south, y), Math.max(north, y)];
  };
  for (const { waypoint } of waypoints) reach(waypoint.lat, waypoint.lon);
  // With marks the map is about them: a log that strays far away does not shrink them to a dot.
  const [w, e, s, n] = [west, east, south, north];
  const far = Math.max(1000, e - w, n - s);
  for (let i = 0; i < survey.count; i += Math.max(1, Math.floor(survey.count / 20_000))) {
    const [x, y] = frame.toLocal(survey.lat[i], survey.lon[i]);
    if (waypoints.length > 0 && (x < w - far || x > e + far || y < s - far || y > n + far)) continue;
    reach(survey.lat[i], survey.lon[i]);
  }
  const extent = {
    west: west - MARGIN,
    east: east + MARGIN,
    south: south - MARGIN,
    north: north + MARGIN,
  };
  const scale = LONG / Math.max(extent.east - extent.west, extent.north - extent.south);
  return {
    frame,
    extent,
    scale,
    width: (extent.east - extent.west) * scale,
    height: (extent.north - extent.south) * scale,
    toFigure: (x, y) => [(x - extent.west) * scale, (extent.north - y) * scale],
  };
}

function drawGround(
  grid: OverviewGrid,
  map: LakeMap,
  units: DisplayUnits,
  taken: FigurePlace[],
): { markup: string; labels: string; interval: number } {
  const figureGrid = (values: Float64Array): FigureGrid => ({
    columns: grid.columns,
    rows: grid.rows,
    values,
    toFigure: (column, row) =>
      map.toFigure(grid.west + column * grid.cellSize, grid.north - row * grid.cellSize),
  });
  const shown = grid.depth.filter((depth, k) => grid.sounded[k] === 1 && Number.isFinite(depth)).sort();
  const isobaths = chooseIsobaths(shown[0] ?? 0, shown[shown.length - 1] ?? 0, units, 0.7);
  const depths = figureGrid(grid.depth);
  const isInside = ([x, y]: FigurePlace) => x > 14 && y > 14 && x < map.width - 14 && y < map.height - 14;
  const isSounded = ([x, y]: FigurePlace) => {
    const column = Math.round(x / map.scale / grid.cellSize);
    const row = Math.round(y / map.scale / grid.cellSize);
    return grid.sounded[row * grid.columns + column] === 1;
  };
  let areas = '';
  let labels = '';
  for (const depth of isobaths.depths) {
    const isobath = traceIsobath(depths, depth);
    if (isobath.path === '') continue;
    areas += element('path', {
      d: isobath.path,
      'data-depth': short(depth, 3),
    });
    for (let k = 0; k < 3; k += 1) {
      const label = placeOnLine(isobath.lines, taken, 26, (place) => isInside(place) && isSounded(place));
      if (label === undefined) break;
      taken.push(label.place);
      labels += `<text class="mid" dy=".35em" transform="translate(${pair(...label.place)})rotate(${short(label.turn, 0)})">${depthNumber(depth, units)}</text>`;
    }
  }
  const sounded = traceIsobath(figureGrid(grid.sounded), 0.5).path;
  const d = `M0 0H${short(map.width)}V${short(map.height)}H0Z${sounded}`;
  const markup = `<g class="iso">${areas}</g><path class="hatch far" fill-rule="evenodd" d="${d}"/>`;
  return {
    markup,
    labels: `<g class="iso">${labels}</g>`,
    interval: isobaths.interval,
  };
}

/** Figure units to which the drawn passes keep. */
const PASS_TOLERANCE = 0.7;

/** m between soundings of one pass beyond which the drawn line breaks. */
const PASS_GAP = 60;

function drawPasses(survey: SurveyColumns, map: LakeMap): string {
  let d = '';
  let open: FigurePlace[] = [];
  let pass: number | undefined;
  const close = () => {
    const line = simplify(open, PASS_TOLERANCE);
    if (line.length > 1) d += linePath(line);
    open = [];
  };
  for (let i = 0; i < survey.count; i += 1) {
    const place = map.toFigure(...map.frame.toLocal(survey.lat[i], survey.lon[i]));
    const last = open[open.length - 1];
    const jump = last === undefined ? 0 : Math.hypot(place[0] - last[0], place[1] - last[1]);
    if (survey.pass[i] !== pass || jump > PASS_GAP * map.scale) close();
    pass = survey.pass[i];
    if (jump < 0.5 && open.length > 0) continue;
    open.push(place);
  }
  close();
  return `<path class="pass" d="${d}"/>`;
}

/** Dots at the spots, numbers where there is room for them; both lead to the spot's section, as the list does for the keyboard. */
function drawSpots(
  spots: readonly EnrichedWaypoint[],
  places: readonly FigurePlace[],
  map: LakeMap,
  isStandalone: boolean,
): string {
  const labels: FigurePlace[] = [];
  const marks = spots.map((spot, i) => {
    const number = String(spot.waypoint.index + 1);
    const label = numberPlace(number, i, places, labels, map);
    if (label !== undefined) labels.push(label);
    const known = spot.fields.downslope !== undefined || spot.fields.upslope !== undefined;
    const dot = `<circle class="${known ? 'spot' : 'spot open'}" cx="${short(places[i][0])}" cy="${short(places[i][1])}" r="3.2"/>`;
    const text = label === undefined ? '' : textElement(number, label, { class: 'mid' });
    if (isStandalone) return dot + text;
    const name = `Spot ${number}: ${spotName(spot)}`;
    return element(
      'a',
      { href: `#spot-${number}`, 'aria-label': name, 'data-spot': number, tabindex: -1 },
      dot + text,
    );
  });
  return `<g class="spots">${marks.join('')}</g>`;
}

function numberPlace(
  number: string,
  self: number,
  spots: readonly FigurePlace[],
  labels: readonly FigurePlace[],
  map: LakeMap,
): FigurePlace | undefined {
  const half = number.length * 3.2;
  for (const [dx, dy] of [
    [6 + half, -3],
    [-6 - half, -3],
    [0, -7],
    [0, 15],
    [6 + half, 9],
    [-6 - half, 9],
  ]) {
    const place: FigurePlace = [spots[self][0] + dx, spots[self][1] + dy];
    const isFree = (other: FigurePlace, wide: number) =>
      Math.abs(other[0] - place[0]) > wide || Math.abs(other[1] - place[1] + 3) > 9;
    if (place[0] < half || place[0] > map.width - half || place[1] < 10 || place[1] > map.height - 3)
      continue;
    if (
      spots.every((other, i) => i === self || isFree(other, half + 4)) &&
      labels.every((other) => isFree([other[0], other[1] - 3], half * 2 + 2))
    ) {
      return place;
    }
  }
  return undefined;
}

const BAR_LENGTHS = [50, 100, 200, 250, 500, 1000, 2000, 5000, 10_000];

function strip(map: LakeMap, units: DisplayUnits, interval: number): string {
  const unit = lengthUnit(units);
  const fits = BAR_LENGTHS.filter((length) => toMeters(length, unit) * map.scale <= 160);
  const length = fits[fits.length - 1] ?? BAR_LENGTHS[0];
  const wide = toMeters(length, unit) * map.scale;
  const y = map.height + 10;
  return [
    `<path class="frame" d="M.5 ${short(y)}v5h${short(wide)}v-5M${short(wide / 2)} ${short(y + 2)}v3"/>`,
    textElement(`${length} ${unit}`, [wide + 6, y + 7]),
    textElement(`isobaths about every ${interval} ${units}, smoothed; north up`, [map.width, y + 7], {
      class: 'end soft',
    }),
  ].join('');
}
