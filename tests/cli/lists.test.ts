import { describe, expect, test } from 'vitest';
import { collectSettings, resolveSettings } from '../../shared/engine/settings.ts';
import { COMMAND_GROUPS, inputOptions } from '../../src/cli/command-options.ts';
import { parseCommandLine } from '../../src/cli/parse-command-line.ts';

const SHAPE = { name: 'check', summary: 'x', argument: { name: '[waypoints...]', help: 'x' } };

function soundingsOf(...argv: string[]): unknown {
  const settings = collectSettings([{ owner: 'core', options: inputOptions }, ...COMMAND_GROUPS.check]);
  const { given } = parseCommandLine(SHAPE, settings, argv);
  return resolveSettings(settings, given, 'm', '').get('core')?.soundings;
}

describe('lists on the command line', () => {
  test('every file after one flag is taken', () => {
    expect(soundingsOf('a.gpx', '--soundings', 'a.csv', 'b.csv', 'c.csv')).toEqual([
      'a.csv',
      'b.csv',
      'c.csv',
    ]);
  });

  test('a flag given several times adds to its list', () => {
    expect(soundingsOf('--soundings', 'a.csv', '--soundings=b.csv')).toEqual(['a.csv', 'b.csv']);
  });

  test('an option that takes one value is refused when given twice, also in a configuration', () => {
    const settings = collectSettings([{ owner: 'core', options: inputOptions }]);
    const given = { flag: 'workers', texts: ['2', '3'], wording: 'workers (c.yaml:1)' };
    expect(() => resolveSettings(settings, [given], 'm', '')).toThrow('workers (c.yaml:1) is given twice');

    expect(() => soundingsOf('--config', 'a.yaml', '--config=b.yaml')).toThrow(
      '--config is given twice, with "a.yaml" and with "b.yaml", but takes one value. Keep one of the two.',
    );
  });
});
