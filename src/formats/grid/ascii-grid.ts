import { defineReaderPlugin, Refusal } from '../../../shared/contract/index.ts';
import { plural, readerMessages } from '../../../shared/text/index.ts';
import { headText, systemBeside, textOf } from '../open/index.ts';
import { cellsOf, type Grid } from './cells.ts';

const KIND = 'an ASCII grid';
const KEYS =
  /^\s*(ncols|nrows|xllcorner|yllcorner|xllcenter|yllcenter|cellsize|dx|dy|nodata_value)\s+(\S+)\s*$/i;

export const asciiGrid = defineReaderPlugin({
  name: 'ascii-grid',
  summary: 'Reads ESRI ASCII grids: each cell is a sounding.',
  stage: 'reader',
  extensions: ['.asc', '.grd', '.txt'],
  options: {},
  sniff: (head) => /^\s*ncols\s+\d+\s/i.test(headText(head)),
  async read({ file, bytes, sibling }, _options, context) {
    const grid = parseGrid(textOf(bytes), file);
    const cell = grid.columns === 1 ? 0 : grid.cell;
    return { soundings: await cellsOf(grid, cell, await systemBeside(sibling), file, context) };
  },
});

/** @throws Refusal for an incomplete or impossible header, or if the number of values contradicts it. */
function parseGrid(text: string, file: string): Grid & { readonly cell: number } {
  const refuse = (why: string): never => {
    throw new Refusal([readerMessages.damaged({ file }, KIND, why)]);
  };
  const header = new Map<string, number>();
  let start = 0;
  for (;;) {
    const end = text.indexOf('\n', start);
    const match = KEYS.exec(text.slice(start, end < 0 ? undefined : end));
    if (match === null || end < 0) break;
    header.set(match[1].toLowerCase(), numberOf(match[2]));
    start = end + 1;
  }
  const [columns, rows] = ['ncols', 'nrows'].map((key) => header.get(key) ?? Number.NaN);
  const [dx, dy] = ['dx', 'dy'].map((key) => header.get(key) ?? header.get('cellsize') ?? Number.NaN);
  const none = header.get('nodata_value') ?? -9999;
  const west = header.get('xllcenter') ?? (header.get('xllcorner') ?? Number.NaN) + dx / 2;
  const south = header.get('yllcenter') ?? (header.get('yllcorner') ?? Number.NaN) + dy / 2;
  if (!(columns > 0 && rows > 0 && dx > 0 && dy > 0 && Number.isInteger(columns * rows)))
    refuse('its header lacks ncols, nrows or cellsize');
  if (!Number.isFinite(west) || !Number.isFinite(south))
    refuse('its header does not say where its corner is');
  if (columns * rows > text.length)
    refuse(`its header says ${columns} x ${rows} cells, which is more than the file can hold`);
  const values = text.slice(start).trim().split(/\s+/);
  if (values.length !== columns * rows)
    refuse(`it has ${plural(values.length, 'value')} where its header says ${columns} x ${rows}`);
  return {
    columns,
    rows,
    cell: dx,
    at: (column, row) => [west + column * dx, south + (rows - 1 - row) * dy],
    read: async (from, to) =>
      values.slice(from * columns, to * columns).map((value) => {
        const number = numberOf(value);
        return number === none ? Number.NaN : number;
      }),
  };
}

const numberOf = (text: string): number =>
  /^[+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d{1,3})?$/.test(text) ? Number(text) : Number.NaN;
