import { max, ticks } from 'd3-array';
import { type CastPlan, type DisplayUnits, fromMeters, toMeters } from '../../shared/contract/index.ts';
import { lengthUnit } from '../../shared/text/index.ts';
import { figureRoot } from './figure-root.ts';
import { runsWhere } from './profile-runs.ts';
import { areaPath, type FigurePlace, linePath, short, simplify, textElement } from './svg.ts';

/** Layout of a side view, figure units: frame from `axis` to `edge`, section from `left` to `right`. */
export const SECTION = {
  axis: 30,
  left: 44,
  right: 346,
  edge: 354,
  top: 44,
  bottom: 194,
  width: 360,
  height: 248,
} as const;

/** Half-width of the uncertainty band around the modeled bottom, in standard deviations: about 95 %. */
const BAND_SDS = 2;

const EXAGGERATIONS = [1, 1.5, 2, 2.5, 3, 4, 5, 6, 8, 10, 12, 15, 20];

/** Tolerance for thinning lines, figure units: a quarter of the thinnest stroke of a side view. */
export const THIN = 0.15;

/** A modeled bottom along a line, m; NaN where nothing is modeled. */
export type SectionLine = Omit<CastPlan['profile'], 'lure'>;

/** Returns the maximum depth of a bottom and its uncertainty band, m; 0 without a modeled bottom. */
export const deepestOf = ({ bottom, bottomSd }: SectionLine): number =>
  Math.max(0, max(bottom, (depth, i) => depth + BAND_SDS * bottomSd[i]) ?? 0);

export type SectionScale = ReturnType<typeof sectionScale>;

/**
 * Computes the scales of a side view with the largest exaggeration that fits the frame.
 *
 * @param from Distance at the left edge, m. @param to Distance at the right edge, m.
 * @param deepest Maximum depth to show, m.
 * @returns The given `from` and `to`; `across` and `down`, figure units per m; `exaggeration`, `down` divided
 * by `across`; and `toFigure`, which converts a distance and a depth, m, to a figure place.
 */
export function sectionScale(from: number, to: number, deepest: number) {
  const across = (SECTION.right - SECTION.left) / (to - from);
  const height = SECTION.bottom - SECTION.top - 8;
  // A bottom too deep for a true-to-scale view is drawn flattened, and the figure says so.
  const flattened = Math.max(0.05, Math.floor((height / (across * deepest)) * 20) / 20);
  const exaggeration = EXAGGERATIONS.findLast((times) => across * times * deepest <= height) ?? flattened;
  const down = across * exaggeration;
  const toFigure = (distance: number, depth: number): FigurePlace => [
    SECTION.left + (distance - from) * across,
    SECTION.top + depth * down,
  ];
  return { from, to, across, down, exaggeration, toFigure };
}

/** Wraps the markup of a side view in its figure. @param scale Absent when nothing is drawn to scale. */
export const sectionFigure = (
  content: readonly string[],
  { name, label, isStandalone }: { name: string; label: string; isStandalone: boolean | undefined },
  scale?: SectionScale,
): string =>
  figureRoot(content.join(''), {
    width: SECTION.width,
    height: SECTION.height,
    label,
    name,
    data: scale && {
      left: scale.toFigure(0, 0)[0],
      surface: SECTION.top,
      across: scale.across,
      down: scale.down,
      exaggeration: scale.exaggeration,
    },
    isStandalone,
  });

export const WATER_LINE = `<path class="water" d="M${SECTION.axis} ${SECTION.top}H${SECTION.edge}"/>`;

export function drawAxes(scale: SectionScale, units: DisplayUnits): string {
  const unit = lengthUnit(units);
  const [x1, y1] = [SECTION.edge, SECTION.bottom];
  const depths = ticks(0, fromMeters((SECTION.bottom - SECTION.top) / scale.down, units), 5)
    .filter((depth) => depth > 0)
    .map((depth) => ({ text: String(depth), y: scale.toFigure(0, toMeters(depth, units))[1] }));
  const lengths = ticks(fromMeters(scale.from, unit), fromMeters(scale.to, unit), 6).map((along, i, all) => ({
    text: i === all.length - 1 ? `${along} ${unit}` : String(along).replace('-', '\u2212'),
    x: scale.toFigure(toMeters(along, unit), 0)[0],
  }));
  return [
    `<path class="grid" d="${depths.map(({ y }) => `M${SECTION.axis} ${short(y)}H${x1}`).join('')}"/>`,
    `<path class="frame" d="M${SECTION.axis} ${SECTION.top}V${y1}H${x1}${lengths.map(({ x }) => `M${short(x)} ${y1}v4`).join('')}"/>`,
    textElement(units, [SECTION.axis - 5, SECTION.top + 4], 'end soft'),
    ...depths.map(({ text, y }) => textElement(text, [SECTION.axis - 5, y + 4], 'end soft')),
    ...lengths.map(({ text, x }) => textElement(text, [x, y1 + 15], 'mid soft')),
  ].join('');
}

export function drawBottom(profile: SectionLine, scale: SectionScale): string {
  return soundedRuns(profile)
    .map((run) => {
      const [line, shallow, deep] = [0, -BAND_SDS, BAND_SDS].map((sds) =>
        run.map((i) => scale.toFigure(profile.distance[i], profile.bottom[i] + sds * profile.bottomSd[i])),
      );
      const ground = simplify(line, THIN);
      return [
        `<path class="ground" d="${linePath(ground)}V${SECTION.bottom}H${short(line[0][0])}Z"/>`,
        `<path class="sd" d="${areaPath([...simplify(shallow, THIN), ...simplify(deep, THIN).reverse()])}"/>`,
        `<path class="bottom" d="${linePath(ground)}"/>`,
      ].join('');
    })
    .join('');
}

const soundedRuns = ({ bottom }: SectionLine): number[][] =>
  runsWhere(bottom.length, (i) => Number.isFinite(bottom[i])).filter((run) => run.length > 1);

/** Writes the exaggeration and, if heights are not to scale, draws the bottom again in its true shape. */
export function drawFooter(profile: SectionLine, scale: SectionScale): string {
  const y = SECTION.bottom + 32;
  const words =
    scale.exaggeration === 1
      ? 'Drawn to scale: no vertical exaggeration.'
      : `Heights drawn \u00d7 ${scale.exaggeration}.`;
  const runs = soundedRuns(profile);
  if (scale.exaggeration === 1 || runs.length === 0) return textElement(words, [SECTION.left, y], 'soft');
  const shrink = 0.26;
  const pieces = runs.map((run) =>
    run.map(
      (i): FigurePlace => [
        (profile.distance[i] - scale.from) * scale.across * shrink,
        profile.bottom[i] * scale.across * shrink,
      ],
    ),
  );
  const wide = (scale.to - scale.from) * scale.across * shrink;
  return [
    textElement(`${words} True shape:`, [SECTION.left, y], 'soft'),
    `<g transform="translate(${short(SECTION.right - wide)} ${y - 8})"><path class="water" d="M0 0H${short(wide)}"/>`,
    `<path class="bottom" d="${pieces.map((piece) => linePath(simplify(piece, THIN))).join('')}"/></g>`,
  ].join('');
}
