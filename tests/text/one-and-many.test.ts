import { expect, test } from 'vitest';
import { inUnits } from '../../shared/contract/lengths.ts';
import { oddsText } from '../../shared/text/messages/bottom.ts';
import { readerMessages } from '../../shared/text/messages/readers.ts';
import { soundingPluginMessages } from '../../shared/text/messages/sounding-plugins.ts';

test('one file, cell or row is not said in the plural', () => {
  expect(readerMessages['passed-over'](undefined, ['a.pdf']).message).toBe(
    'A file in the archive was skipped, because it is not named like a log: a.pdf.',
  );
  expect(readerMessages['grid-cells'](undefined, 1, 10).message).toContain('its one cell has that width');
  expect(soundingPluginMessages.spike(undefined, 1).message).toMatch(/^Row dropped: its depth stands out/);
  expect(soundingPluginMessages.spike(undefined, 2).message).toMatch(/^Rows dropped: their depths stand out/);
});

test('sentences of one instrument are not said to be several instruments', () => {
  expect(readerMessages['several-positions'](undefined, 'GPGGA', ['GPRMC']).message).toBe(
    'Several kinds of sentences give positions. Only GPGGA is used, not GPRMC.',
  );
  expect(readerMessages['several-depths'](undefined, 'SDDPT', ['SDDBT', 'SDDBS']).message).toBe(
    'Several kinds of sentences give depths. Only SDDPT is used, not SDDBT or SDDBS.',
  );
});

test('a chance is never said to be certain', () => {
  expect(oddsText(0.97)).toBe('9 in 10');
  expect(oddsText(0.25)).toBe('1 in 4');
});

test('an offset of the antenna to one side names that side alone', () => {
  const { message } = soundingPluginMessages['antenna-offset'](undefined, 0, 0.5);
  expect(inUnits(message, 'm')).toBe(
    'Positions are moved from the antenna to the transducer: 0.50 m to the right.',
  );
});
