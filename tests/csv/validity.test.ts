import { describe, expect, test } from 'vitest';
import { goodRows, readText } from './read-text.ts';

const log = (column: string, cells: readonly string[]): string =>
  `lat,lon,depth_m,${column}\n${goodRows(40)
    .map((row, i) => `${row},${cells[i % cells.length]}`)
    .join('\n')}\n`;

describe('a column by which a log marks rows as invalid', () => {
  test.each([
    ['valid', ['1', '1', '1', '0'], 10],
    ['isValid', ['true', 'true', 'true', 'false'], 10],
    ['gps_status', ['A', 'A', 'A', 'V'], 10],
    ['invalid', ['0', '0', '0', '1'], 10],
    // The meaning of a status number differs between manufacturers.
    ['status', ['0', '1', '2', '3'], 0],
    ['depth_quality', ['0', '1', '2', '3'], 0],
  ])('%s with values %j drops %i of 40 rows', async (column, cells, dropped) => {
    const { rows, account } = await readText(log(column, cells));
    expect(rows).toHaveLength(40 - dropped);
    expect(account?.dropped['soundings/marked-invalid'] ?? 0).toBe(dropped);
  });

  test('is ignored with --map ignore=NAME', async () => {
    const { rows } = await readText(log('valid', ['1', '0']), { map: ['ignore=valid'] });
    expect(rows).toHaveLength(40);
  });
});
