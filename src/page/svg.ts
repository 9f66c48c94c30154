import { withoutTurns } from '../../shared/contract/index.ts';

/** A place in a figure, in the figure's units: x to the right, y down. */
export type FigurePlace = readonly [x: number, y: number];

/** Text safe in HTML and SVG, between tags and in quoted attributes; characters that XML cannot carry become U+FFFD, those that turn text round are shown as codes. */
export function escapeText(text: string): string {
  return withoutTurns(text)
    .replace(/[\u0000-\u0008\u000b\u000c\u000e-\u001f\ufffe\uffff]|\p{Cs}/gu, '\ufffd')
    .replace(/&/g, '&amp;')
    .replace(/</g, '&lt;')
    .replace(/>/g, '&gt;')
    .replace(/"/g, '&quot;')
    .replace(/'/g, '&#39;');
}

/**
 * Shortest form of a number with at most one decimal by default: `0.5` becomes `.5`. A tenth of a figure unit is
 * too small to see.
 */
export function short(value: number, decimals = 1): string {
  const scale = 10 ** decimals;
  const rounded = Math.round(value * scale) / scale;
  const text = String(rounded === 0 ? 0 : rounded);
  return rounded < 1 && rounded > -1 ? text.replace(/^(-?)0\./, '$1.') : text;
}

/** Element with attributes (undefined ones left out) and content, which must be markup already. */
export function svgElement(
  name: string,
  attributes: Readonly<Record<string, string | number | undefined>>,
  content?: string,
): string {
  const list = Object.entries(attributes)
    .filter((entry): entry is [string, string | number] => entry[1] !== undefined)
    .map(([key, value]) => ` ${key}="${typeof value === 'number' ? short(value, 2) : escapeText(value)}"`)
    .join('');
  return content === undefined ? `<${name}${list}/>` : `<${name}${list}>${content}</${name}>`;
}

/** Text element; the text is escaped here. @param style CSS classes. */
export const textElement = (text: string, [x, y]: FigurePlace, style?: string): string =>
  svgElement('text', { x: short(x), y: short(y), class: style }, escapeText(text));

/** Path data of an open line. */
export const linePath = (places: readonly FigurePlace[]): string =>
  places.map(([x, y], i) => `${i === 0 ? 'M' : i === 1 ? 'L' : ' '}${pair(x, y)}`).join('');

/** Path data of a filled outline. */
export const areaPath = (places: readonly FigurePlace[]): string =>
  places.length === 0 ? '' : `${linePath(places)}Z`;

/** `x y`, without the space when a minus sign separates the numbers. */
export function pair(x: number, y: number): string {
  const second = short(y);
  return `${short(x)}${second.startsWith('-') ? '' : ' '}${second}`;
}

/**
 * Thins the places on a line so that no omitted place is farther than `tolerance` from the remaining line.
 *
 * Source: Douglas and Peucker 1973, Cartographica 10(2), doi:10.3138/FM57-6770-U75U-7727.
 */
export function simplify(places: readonly FigurePlace[], tolerance: number): FigurePlace[] {
  if (places.length < 3) return [...places];
  const keep = new Uint8Array(places.length);
  keep[0] = keep[places.length - 1] = 1;
  const spans: [number, number][] = [[0, places.length - 1]];
  for (let span = spans.pop(); span !== undefined; span = spans.pop()) {
    const [first, last] = span;
    let worst = tolerance;
    let at = -1;
    for (let i = first + 1; i < last; i += 1) {
      const away = distanceToSegment(places[i], places[first], places[last]);
      if (away > worst) [worst, at] = [away, i];
    }
    if (at < 0) continue;
    keep[at] = 1;
    spans.push([first, at], [at, last]);
  }
  return places.filter((_, i) => keep[i] === 1);
}

/** Distance from a place to the nearest of a list of places; Infinity when the list is empty. */
export function distanceToNearest([x, y]: FigurePlace, places: readonly FigurePlace[]): number {
  let least = Number.POSITIVE_INFINITY;
  for (const place of places) {
    const away2 = (place[0] - x) * (place[0] - x) + (place[1] - y) * (place[1] - y);
    if (away2 < least) least = away2;
  }
  return Math.sqrt(least);
}

/** Distance from a place to a line segment. */
function distanceToSegment([x, y]: FigurePlace, [x0, y0]: FigurePlace, [x1, y1]: FigurePlace): number {
  const length2 = (x1 - x0) ** 2 + (y1 - y0) ** 2;
  const along = length2 === 0 ? 0 : ((x - x0) * (x1 - x0) + (y - y0) * (y1 - y0)) / length2;
  const t = Math.max(0, Math.min(1, along));
  return Math.hypot(x - x0 - t * (x1 - x0), y - y0 - t * (y1 - y0));
}
