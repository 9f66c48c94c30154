import { describe, expect, test } from 'vitest';
import { readBytes } from './read-bytes.ts';

/** Returns a sentence with its checksum, the XOR of the characters between `$` and `*` (NMEA 0183). */
function sentence(body: string): string {
  let sum = 0;
  for (const char of body) sum ^= char.charCodeAt(0);
  return `$${body}*${sum.toString(16).toUpperCase().padStart(2, '0')}`;
}

const log = (...bodies: string[]): string => `${bodies.map(sentence).join('\r\n')}\r\n`;

describe('NMEA 0183', () => {
  test('the widely quoted GGA example and depths in DPT, DBT, DBS and DBK are read', async () => {
    // 48 deg 07.038' N, 11 deg 31.000' E at 12:35:19 UTC.
    const gga = '$GPGGA,123519,4807.038,N,01131.000,E,1,08,0.9,545.4,M,46.9,M,,*47';
    for (const [body, depth, from] of [
      ['SDDPT,7.6,0.4,', 8, 'surface'],
      ['SDDPT,7.6,-0.4,', 7.6, 'transducer'],
      ['SDDPT,7.6,0.0', 7.6, 'transducer'],
      ['SDDPT,7.6,', 7.6, 'transducer'],
      ['SDDBT,24.9,f,7.6,M,4.2,F', 7.6, 'transducer'],
      ['SDDBT,25.0,f,,M,,F', 7.62, 'transducer'],
      ['SDDBT,,f,,M,5.0,F', 9.144, 'transducer'],
      ['SDDBS,26.2,f,8.0,M,4.4,F', 8, 'surface'],
      ['SDDBK,24.3,f,7.4,M,4.0,F', 7.4, 'keel'],
    ] as const) {
      const { rows, account, depthFrom } = await readBytes('a.nmea', `${gga}\r\n${sentence(body)}\r\n`);
      expect(account, body).toEqual({ read: 1, used: 1, dropped: {} });
      expect(rows[0].lat).toBeCloseTo(48 + 7.038 / 60, 12);
      expect(rows[0].lon).toBeCloseTo(11 + 31 / 60, 12);
      expect(rows[0].depth).toBe(Math.fround(depth));
      expect(rows[0].time).toBe(12 * 3600 + 35 * 60 + 19);
      expect(depthFrom).toBe(from);
    }
  });

  test('southern and western positions, dates from RMC, and midnight are read', async () => {
    const { rows, codes } = await readBytes(
      'a.log',
      log(
        'GPRMC,235959.50,A,3751.650,S,14507.360,W,000.0,360.0,130998,011.3,E',
        'SDDPT,5.0,0.0',
        'GPRMC,000000.50,A,3751.649,S,14507.360,W,000.0,360.0,140998,011.3,E',
        'SDDPT,6.0,0.0',
      ),
    );
    expect(rows.map(({ time }) => new Date(time * 1000).toISOString())).toEqual([
      '1998-09-13T23:59:59.500Z',
      '1998-09-14T00:00:00.500Z',
    ]);
    expect(rows[0].lat).toBeCloseTo(-(37 + 51.65 / 60), 12);
    expect(rows[0].lon).toBeCloseTo(-(145 + 7.36 / 60), 12);
    expect(codes).not.toContain('time-relative');
  });

  test('times of day without dates continue past midnight', async () => {
    const { rows, codes } = await readBytes(
      'a.log',
      log(
        'GPGLL,4916.45,N,12311.12,W,235959,A',
        'SDDPT,5.0,0.0',
        'GPGLL,4916.45,N,12311.12,W,000001,A',
        'SDDPT,5.0,0.0',
      ),
    );
    expect(rows.map(({ time }) => time)).toEqual([86399, 86401]);
    expect(codes).toContain('time-relative');
  });

  test('ten depths per second are spread between two fixes a second apart', async () => {
    const depths = Array.from({ length: 10 }, (_, i) => `SDDPT,${5 + i / 10},0.0`);
    const { rows } = await readBytes(
      'a.nmea',
      log(
        'GPGGA,120000,6000.000,N,02500.000,E,1,08,0.9,0,M,,M,,',
        ...depths,
        'GPGGA,120001,6000.001,N,02500.002,E,1,08,0.9,0,M,,M,,',
        'SDDPT,9.9,0.0',
      ),
    );
    expect(rows).toHaveLength(11);
    expect(rows[5].lat).toBeCloseTo(60 + 0.0005 / 60, 10);
    expect(rows[5].lon).toBeCloseTo(25 + 0.001 / 60, 10);
    expect(rows[5].time).toBe(12 * 3600 + 0.5);
    expect(rows[10].lat).toBeCloseTo(60 + 0.001 / 60, 12);
  });

  test('damaged sentences, depths without a fix and lost fixes are dropped and counted', async () => {
    const text = [
      sentence('SDDPT,5.0,0.0'),
      sentence('GPGGA,120000,6000.000,N,02500.000,E,1,08,0.9,0,M,,M,,'),
      sentence('SDDPT,5.0,0.0').replace('5.0', '6.0'),
      sentence('SDDPT,,0.0'),
      sentence('SDDPT,7.0,0.0'),
      sentence('GPGGA,120001,,,,,0,00,,,M,,M,,'),
      sentence('SDDPT,8.0,0.0'),
      sentence('GPGGA,120002,6000.001,N,02500.000,E,1,08,0.9,0,M,,M,,'),
      sentence('SDDPT,9.0,0.0'),
    ].join('\n');
    const { rows, account } = await readBytes('a.nmea', `${text}\n`, { maxDropped: 1 });
    expect(rows.map(({ depth }) => depth)).toEqual([7, 9]);
    expect(rows.map(({ line }) => line)).toEqual([5, 9]);
    expect(account).toEqual({
      read: 6,
      used: 2,
      dropped: { 'soundings/checksum': 1, 'soundings/no-depth': 1, 'soundings/no-fix': 2 },
    });
  });

  test('with several talkers one is used for each quantity, and a message says which', async () => {
    const { rows, codes } = await readBytes(
      'a.nmea',
      log(
        'GPGGA,120000,6000.000,N,02500.000,E,1,08,0.9,0,M,,M,,',
        'IIGLL,6000.100,N,02500.100,E,120000,A',
        'SDDBT,16.4,f,5.0,M,2.7,F',
        'SDDPT,5.0,0.5',
        'SDMTW,18.5,C',
        'GPGGA,120001,6000.000,N,02500.000,E,1,08,0.9,0,M,,M,,',
        'SDDPT,5.0,0.5',
        'SDDBT,16.4,f,5.0,M,2.7,F',
      ),
    );
    expect(rows.map(({ lat, depth }) => [lat, depth])).toEqual([
      [60, 5.5],
      [60, 5.5],
    ]);
    expect(rows.map(({ temperature }) => temperature)).toEqual([Number.NaN, 18.5]);
    expect(codes).toContain('several-positions');
    expect(codes).toContain('several-depths');
  });

  test('the offset of DPT also holds for sentences that leave it out', async () => {
    const { rows, diagnostics } = await readBytes(
      'a.nmea',
      log(
        'GPGGA,120000,6000.000,N,02500.000,E,1,08,0.9,0,M,,M,,',
        'SDDPT,5.0,',
        'GPGGA,120001,6000.000,N,02500.000,E,1,08,0.9,0,M,,M,,',
        'SDDPT,5.0,0.5',
      ),
    );
    expect(rows.map(({ depth }) => depth)).toEqual([5.5, 5.5]);
    expect(diagnostics.find(({ code }) => code === 'soundings/depth-offset')?.message).toContain(
      '0.50\u00a0m is added to the depths of SDDPT',
    );
  });

  test('sentences after a time or a tag block are read, and a log without depths is refused', async () => {
    const fix = sentence('GNGGA,120000,6000.000,N,02500.000,E,4,08,0.9,0,M,,M,,');
    const { rows } = await readBytes(
      'a.txt',
      `12:00:00.1 ${fix}\n\\s:sounder,c:1700000000*2B\\${sentence('SDDPT,5.0,0.0')}\n`,
    );
    expect(rows).toHaveLength(1);
    const { refusal } = await readBytes('a.nmea', `${fix}\n${fix}\n`);
    expect(refusal?.code).toBe('soundings/nothing-inside');
    expect(refusal?.message).toContain('without valid depths (DPT, DBT, DBS');
  });
});
