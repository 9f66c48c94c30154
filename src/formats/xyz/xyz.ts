import { defineReaderPlugin } from '../../../shared/contract/index.ts';
import { readerMessages as says } from '../../../shared/text/index.ts';
import { readColumnName } from '../csv/index.ts';
import { headText, textOf } from '../open/index.ts';
import { isFarApart, withDegrees } from './projected-rows.ts';
import { coordinateOf, delimiterOf, isBlankOrComment, linesOf, splitFields } from './rows.ts';

/** Reader of rows of numbers without a header: x, y and z, or the columns given by `--columns`. */
export const xyz = defineReaderPlugin({
  name: 'xyz',
  summary: 'Reads rows of x y z without a header, in degrees or on the map grid of --crs.',
  stage: 'reader',
  extensions: ['.xyz', '.pts', '.txt', '.dat'],
  options: {},
  sniff(head, name) {
    const isNamed = /\.(?:xyz|pts|txt|dat)$/i.test(name);
    if (!isNamed && /\.\w+$/.test(name)) return false;
    const first = firstRow(headText(head));
    const fields = first === undefined ? [] : splitFields(first, delimiterOf(first));
    const [x, y, z] = fields.map(coordinateOf);
    // Without an extension, as for a pipe, only map coordinates are accepted: degrees may be in either order.
    return !Number.isNaN(x + y + z) && (isNamed || Math.min(Math.abs(x), Math.abs(y)) > 360);
  },
  async read({ file, bytes }, _options, context) {
    const text = linesOf(textOf(bytes));
    const first = firstRow(text) ?? '';
    const delimiter = delimiterOf(first);
    const stated = context.columns ?? ['x', 'y', 'z'];
    if (context.columns === undefined) context.report(says['xyz-order']({ file }));
    const roles = stated.map((name) => axisOf(name));
    const [x, y] = [roles.indexOf('x'), roles.indexOf('y')];
    const columns = stated.map((name, i) => (i === x ? 'lon' : i === y ? 'lat' : name));
    if (x < 0 || y < 0) return { files: [{ name: '', bytes, columns: stated }] };
    const lines = text.split('\n').slice(0, 1000);
    const sample = lines
      .filter((line) => !isBlankOrComment(line))
      .map((line) => splitFields(line, delimiter));
    const table = isFarApart(sample, x, y)
      ? withDegrees(text, delimiter, x, y, 0, await context.projection())
      : bytes;
    return { files: [{ name: '', bytes: table, columns }] };
  },
});

const firstRow = (text: string): string | undefined =>
  linesOf(text)
    .split('\n')
    .find((line) => !isBlankOrComment(line));

/** Returns the coordinate that a column of this name holds; undefined for any other column. */
function axisOf(name: string): 'x' | 'y' | undefined {
  const { role } = readColumnName(name);
  if (role === 'x' || role === 'lon' || /^(?:e|east|easting)/i.test(name)) return 'x';
  return role === 'y' || role === 'lat' || /^(?:n|north|northing)/i.test(name) ? 'y' : undefined;
}
