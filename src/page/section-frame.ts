import { scaleLinear } from 'd3-scale';
import { type DisplayUnits, fromMeters, toMeters } from '../../shared/contract/index.ts';
import { lengthUnit } from '../../shared/text/index.ts';
import { figureRoot } from './figure-root.ts';
import { areaPath, type FigurePlace, linePath, short, simplify, textElement } from './svg.ts';

/** Frame of a side view inside the figure, figure units. */
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

/** Available vertical exaggerations. */
const EXAGGERATIONS = [1, 1.5, 2, 2.5, 3, 4, 5, 6, 8, 10, 12, 15, 20];

/** Tolerance for thinning lines, figure units: a quarter of the thinnest stroke. */
export const THIN = 0.15;

export interface SectionScale {
  /** Distance along the line at both ends of the side view, m. */
  readonly from: number;
  readonly to: number;
  /** Figure units per meter along the line, and down. */
  readonly across: number;
  readonly down: number;
  readonly exaggeration: number;
  toFigure(distance: number, depth: number): FigurePlace;
}

/** A bottom along a line, m; NaN where there is none. */
export interface SectionLine {
  readonly distance: ArrayLike<number>;
  readonly bottom: ArrayLike<number>;
  readonly bottomSd: ArrayLike<number>;
}

/** Greatest depth that a bottom with its band reaches, m; 0 without any. */
export function deepestOf({ bottom, bottomSd }: SectionLine): number {
  let deepest = 0;
  for (let i = 0; i < bottom.length; i += 1) {
    const low = bottom[i] + BAND_SDS * bottomSd[i];
    if (low > deepest) deepest = low;
  }
  return deepest;
}

/**
 * Scales with the largest available exaggeration at which the side view fits. @param from m. @param to m. @param
 * deepest m.
 */
export function sectionScale(from: number, to: number, deepest: number): SectionScale {
  const across = (SECTION.right - SECTION.left) / (to - from);
  const fits = EXAGGERATIONS.filter((times) => across * times * deepest <= SECTION.bottom - SECTION.top - 8);
  // Bottom too deep for a true-to-scale view is drawn flattened, and the figure says so.
  const room = (SECTION.bottom - SECTION.top - 8) / (across * deepest);
  const exaggeration = fits[fits.length - 1] ?? Math.max(0.05, Math.floor(room * 20) / 20);
  const down = across * exaggeration;
  return {
    from,
    to,
    across,
    down,
    exaggeration,
    toFigure: (distance, depth) => [SECTION.left + (distance - from) * across, SECTION.top + depth * down],
  };
}

/** The figure around the markup of a side view. @param scale Absent when nothing is to scale. */
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

/** The water surface of a side view. */
export const WATER_LINE = `<path class="water" d="M${SECTION.axis} ${SECTION.top}H${SECTION.edge}"/>`;

/** Draws the frame, ticks and their numbers; lengths are measured from distance 0. */
export function drawAxes(scale: SectionScale, units: DisplayUnits): string {
  const shown = (SECTION.bottom - SECTION.top) / scale.down;
  const depths = scaleLinear([0, fromMeters(shown, units)], [0, 1])
    .ticks(5)
    .filter((depth) => depth > 0);
  const unit = lengthUnit(units);
  const lengths = scaleLinear([fromMeters(scale.from, unit), fromMeters(scale.to, unit)], [0, 1]).ticks(6);
  const [x1, y1] = [SECTION.edge, SECTION.bottom];
  const depthLines = depths.map(
    (depth) => `M${SECTION.axis} ${short(scale.toFigure(0, toMeters(depth, units))[1])}H${x1}`,
  );
  const lengthTicks = lengths.map(
    (along) => `M${short(scale.toFigure(toMeters(along, unit), 0)[0])} ${y1}v4`,
  );
  const depthTexts = depths.map((depth) =>
    textElement(
      String(depth),
      [SECTION.axis - 5, scale.toFigure(0, toMeters(depth, units))[1] + 4],
      'end soft',
    ),
  );
  const lengthTexts = lengths.map((along, i) => {
    const text = i === lengths.length - 1 ? `${along} ${unit}` : String(along).replace('-', '\u2212');
    return textElement(text, [scale.toFigure(toMeters(along, unit), 0)[0], y1 + 15], 'mid soft');
  });
  return [
    `<path class="grid" d="${depthLines.join('')}"/>`,
    `<path class="frame" d="M${SECTION.axis} ${SECTION.top}V${y1}H${x1}${lengthTicks.join('')}"/>`,
    textElement(units, [SECTION.axis - 5, SECTION.top + 4], 'end soft'),
    ...depthTexts,
    ...lengthTexts,
  ].join('');
}

/** Bottom, its band, and the ground below. */
export function drawBottom(profile: SectionLine, scale: SectionScale): string {
  return runsOf(profile.distance, profile.bottom)
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

/** Runs of two or more consecutive indices with a modeled bottom. */
function runsOf(distance: ArrayLike<number>, bottom: ArrayLike<number>): number[][] {
  const runs: number[][] = [];
  let open: number[] | undefined;
  for (let i = 0; i < distance.length; i += 1) {
    if (!Number.isFinite(bottom[i])) {
      open = undefined;
      continue;
    }
    if (open === undefined) {
      open = [];
      runs.push(open);
    }
    open.push(i);
  }
  return runs.filter((run) => run.length > 1);
}

/** Exaggeration in words, and the bottom once more in its true shape. */
export function drawFooter(profile: SectionLine, scale: SectionScale): string {
  const y = SECTION.bottom + 32;
  const words =
    scale.exaggeration === 1
      ? 'Drawn to scale: no vertical exaggeration.'
      : `Heights drawn \u00d7 ${scale.exaggeration}.`;
  const runs = runsOf(profile.distance, profile.bottom);
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
  const x = SECTION.right - wide;
  return [
    textElement(`${words} True shape:`, [SECTION.left, y], 'soft'),
    `<g transform="translate(${short(x)} ${y - 8})"><path class="water" d="M0 0H${short(wide)}"/><path class="bottom" d="${pieces.map((piece) => linePath(simplify(piece, THIN))).join('')}"/></g>`,
  ].join('');
}
