import type { Projection } from '../../../shared/contract/index.ts';
import { coordinateOf, type Delimiter, splitFields } from './rows.ts';

/** Maximum spread of the soundings of one lake, deg; judgment. Values spread more widely are not degrees. */
const WIDEST = 5;

/**
 * Returns whether x or y is not in degrees: most values out of range, or the middle 90 % too far apart. The
 * range of y is that of longitudes, so that swapped degrees are not taken for a map grid.
 */
export function isFarApart(rows: readonly (readonly string[])[], x: number, y: number): boolean {
  const [xs, ys] = [x, y].map((column) =>
    rows.map((row) => coordinateOf(row[column] ?? '')).filter((value) => !Number.isNaN(value)),
  );
  const isSpread = (values: readonly number[], limit: number): boolean => {
    const outside = values.filter((value) => Math.abs(value) > limit).length;
    const sorted = [...values].sort((a, b) => a - b);
    const middle = sorted[Math.floor(sorted.length * 0.95)] - sorted[Math.floor(sorted.length * 0.05)];
    return outside * 2 > values.length || middle > WIDEST;
  };
  return isSpread(xs, 360) || isSpread(ys, 180);
}

/**
 * Converts two columns of a table from map coordinates to degrees. Every line keeps its number. In a row
 * without two numbers, what is no number stays as it is, so that the table reader reports it.
 *
 * @param text Table with LF line ends.
 * @param header Number of lines before the rows; these lines are kept as they are.
 */
export function withDegrees(
  text: string,
  delimiter: Delimiter,
  x: number,
  y: number,
  header: number,
  toDegrees: Projection,
): Uint8Array {
  const lines = text.split('\n');
  const comma = lines.slice(header, header + 100).some((line) => hasComma(line, delimiter));
  const out = lines.map((line, i) => {
    if (i < header) return line;
    const fields = splitFields(line, delimiter);
    const [east, north] = [coordinateOf(bare(fields[x])), coordinateOf(bare(fields[y]))];
    if (Number.isNaN(east) && Number.isNaN(north)) return line;
    if (Number.isNaN(east) || Number.isNaN(north)) {
      fields[Number.isNaN(east) ? y : x] = '0';
      return fields.join(delimiter);
    }
    const [lon, lat] = toDegrees(east, north);
    fields[x] = degreesText(lon, comma);
    fields[y] = degreesText(lat, comma);
    return fields.join(delimiter);
  });
  return new TextEncoder().encode(out.join('\n'));
}

const bare = (field = ''): string => field.replace(/^"([^"]*)"$/, '$1');

const hasComma = (line: string, delimiter: Delimiter): boolean =>
  delimiter !== ',' && splitFields(line, delimiter).some((field) => /^"?[+-]?\d+,\d+"?$/.test(field));

/** Formats degrees with twelve decimals, which is a ten-thousandth of a millimeter. */
const degreesText = (value: number, comma: boolean): string => {
  const text = Number.isNaN(value) ? 'NaN' : value.toFixed(12);
  return comma ? text.replace('.', ',') : text;
};
