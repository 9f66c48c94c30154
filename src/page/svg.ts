import { lineString, simplify as simplifyFeature } from '@turf/turf';
import { min } from 'd3-array';
import { escape as escapeMarkup } from 'es-toolkit';
import { withoutTurns } from '../../shared/contract/index.ts';

/** A place in a figure, in the figure's units: x to the right, y down. */
export type FigurePlace = readonly [x: number, y: number];

/**
 * Escapes text for HTML and SVG, between tags and in quoted attributes. Characters that XML cannot carry
 * become U+FFFD, and characters that change the direction of text are shown as codes.
 */
export const escapeText = (text: string): string =>
  escapeMarkup(
    withoutTurns(text).replace(/[\u0000-\u0008\u000b\u000c\u000e-\u001f\ufffe\uffff]|\p{Cs}/gu, '\ufffd'),
  );

/** Formats a number in the shortest form, `.5` for `0.5`. One decimal suffices for places in a figure. */
export function short(value: number, decimals = 1): string {
  const scale = 10 ** decimals;
  const rounded = Math.round(value * scale) / scale;
  const text = String(rounded === 0 ? 0 : rounded);
  return rounded < 1 && rounded > -1 ? text.replace(/^(-?)0\./, '$1.') : text;
}

/** Writes an element. Undefined attributes are left out; `content` must be markup already. */
export function svgElement(
  name: string,
  attributes: Readonly<Record<string, string | number | undefined>>,
  content?: string,
): string {
  const written = (value: string | number): string =>
    typeof value === 'number' ? short(value, 2) : escapeText(value);
  const list = Object.entries(attributes)
    .map(([key, value]) => (value === undefined ? '' : ` ${key}="${written(value)}"`))
    .join('');
  return content === undefined ? `<${name}${list}/>` : `<${name}${list}>${content}</${name}>`;
}

/** Writes a text element and escapes its text. @param style CSS classes. */
export const textElement = (text: string, [x, y]: FigurePlace, style?: string): string =>
  svgElement('text', { x: short(x), y: short(y), class: style }, escapeText(text));

export const linePath = (places: readonly FigurePlace[]): string =>
  places.map(([x, y], i) => `${i === 0 ? 'M' : i === 1 ? 'L' : ' '}${pair(x, y)}`).join('');

export const areaPath = (places: readonly FigurePlace[]): string =>
  places.length === 0 ? '' : `${linePath(places)}Z`;

/** Writes `x y`, without the space before a minus sign. */
export function pair(x: number, y: number): string {
  const second = short(y);
  return `${short(x)}${second.startsWith('-') ? '' : ' '}${second}`;
}

export const moved = (place: FigurePlace): string => `transform="translate(${pair(...place)})"`;

/** Thins a line. Omitted places are at most `tolerance`, figure units, from the remaining line. */
export const simplify = (places: readonly FigurePlace[], tolerance: number): FigurePlace[] =>
  places.length < 3
    ? [...places]
    : (simplifyFeature(lineString(places as never), { tolerance, highQuality: true, mutate: true }).geometry
        .coordinates as never);

export const distanceToNearest = ([x, y]: FigurePlace, places: readonly FigurePlace[]): number =>
  Math.sqrt(min(places, (place) => (place[0] - x) ** 2 + (place[1] - y) ** 2) ?? Number.POSITIVE_INFINITY);
