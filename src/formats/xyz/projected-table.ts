import { defineReaderPlugin } from '../../../shared/contract/index.ts';
import { readColumnName } from '../csv/index.ts';
import { headText, textOf } from '../open/index.ts';
import { isFarApart, withDegrees } from './projected-rows.ts';
import { coordinateOf, type Delimiter, delimiterOf, isBlankOrComment, linesOf, splitFields } from './rows.ts';

/** Maximum number of lines searched for a header. */
const MAX_PREAMBLE = 50;

const EAST = /^(?:e|x|east(?:ing)?s?|utm_?[ex]|(?:utm|x)_?(?:coord(?:inate)?|east(?:ing)?))$/;
const NORTH = /^(?:n|y|north(?:ing)?s?|utm_?[ny]|(?:utm|y)_?(?:coord(?:inate)?|north(?:ing)?))$/;

export const projectedTable = defineReaderPlugin({
  name: 'projected-table',
  summary: 'Reads tables of eastings and northings on the map grid of --crs.',
  stage: 'reader',
  extensions: ['.csv', '.txt', '.tsv', '.dat'],
  options: {},
  sniff: (head) => headerOf(linesOf(headText(head, head.length))) !== undefined,
  async read({ bytes }, _options, context) {
    const text = linesOf(textOf(bytes));
    const { delimiter, x, y, line } = headerOf(text)!;
    const lines = text.split('\n');
    const names = splitFields(withoutMark(lines[line]), delimiter);
    names[x] = 'longitude';
    names[y] = 'latitude';
    lines[line] = names.join(delimiter);
    const toDegrees = await context.projection();
    return {
      files: [{ name: '', bytes: withDegrees(lines.join('\n'), delimiter, x, y, line + 1, toDegrees) }],
    };
  },
});

interface Header {
  readonly delimiter: Delimiter;
  /** Index of the easting column. */
  readonly x: number;
  /** Index of the northing column. */
  readonly y: number;
  /** Index of the header line, 0-based. */
  readonly line: number;
}

/** Finds the header of a table with map coordinates; undefined for any other text. */
function headerOf(text: string): Header | undefined {
  const lines = text.split('\n', MAX_PREAMBLE + 100);
  for (const [line, marked] of lines.slice(0, MAX_PREAMBLE).entries()) {
    const raw = withoutMark(marked);
    const delimiter = delimiterOf(raw);
    const names = splitFields(raw, delimiter).map((name) => name.replace(/^"(.*)"$/, '$1'));
    const roles = names.map((name) => readColumnName(name).role);
    if (roles.includes('lat') && roles.includes('lon')) return undefined;
    const [x, y] = [EAST, NORTH].map((pattern) => names.findIndex((name) => pattern.test(plain(name))));
    if (x < 0 || y < 0 || !roles.some((role) => role === 'depth' || role === 'elevation')) continue;
    // A table with x and y in degrees is left to the reader of CSV tables.
    const isNamedXy = roles[x] === 'x' && roles[y] === 'y';
    const rows = lines.slice(line + 1).filter((row) => !isBlankOrComment(row));
    const sample = rows.map((row) => splitFields(row, delimiter).map((field) => field.replaceAll('"', '')));
    // A comment counts as the header only if the row after it has numbers in both columns.
    if (raw !== marked && ![x, y].every((column) => !Number.isNaN(coordinateOf(sample[0]?.[column] ?? ''))))
      continue;
    if (isNamedXy && !isFarApart(sample, x, y)) return undefined;
    return { delimiter, x, y, line };
  }
  return undefined;
}

/** Removes the comment mark that may precede a header. */
const withoutMark = (line: string): string => line.replace(/^\s*(?:#|\/\/)+\s*/, '');

/** Reduces a name to lowercase words without a unit: `UTM East (m)` becomes `utm_east`. */
const plain = (name: string): string =>
  name
    .toLowerCase()
    .replace(/[([].*$/, '')
    .trim()
    .replace(/[\s.-]+/g, '_')
    .replace(/_(?:m|meters?|metres?|ft|feet|us_?ft)$/, '');
