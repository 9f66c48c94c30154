import { describe, expect, test } from 'vitest';
import { goodLogWith, goodRows, HEADER, type ReadResult, readText } from './read-text.ts';

/** Number of the first line that `goodLogWith` inserts. */
const ODD = 12;
const rows = (result: ReadResult) => result.rows.map(({ lat, lon, depth }) => [lat, lon, depth]);
const plain = `${[HEADER, ...goodRows(20)].join('\n')}\n`;

describe('encoding and structure', () => {
  test('C01 a byte order mark does not become part of the first column name', async () => {
    const result = await readText(`\uFEFF${plain}`);
    expect(rows(result)).toEqual(rows(await readText(plain)));
    expect(result.codes).toEqual(['depth-unit', 'no-times']);
  });

  test.each(['utf16le', 'be'])('C02 UTF-16 %s with a byte order mark reads as UTF-8 does', async (kind) => {
    const bytes = Buffer.from(`\uFEFF${plain}`, 'utf16le');
    const result = await readText(kind === 'be' ? bytes.swap16() : bytes);
    expect(rows(result)).toEqual(rows(await readText(plain)));
  });

  test('C02 UTF-16 is read the same in chunks that split its characters', async () => {
    const bytes = Buffer.from(`\uFEFF${plain}`, 'utf16le');
    expect(rows(await readText(bytes, {}, 7))).toEqual(rows(await readText(plain)));
  });

  test('C03 UTF-16 without a byte order mark is guessed, with a warning', async () => {
    const result = await readText(Buffer.from(plain, 'utf16le'));
    expect(result.rows).toHaveLength(20);
    expect(result.codes).toContain('utf-16');
  });

  test('C03 UTF-16 that cannot be decoded is refused', async () => {
    const bytes = Buffer.from(`\uFEFF${plain}`, 'utf16le');
    bytes.writeUInt16LE(0xd800, 120);
    expect((await readText(bytes)).refusal?.code).toBe('soundings/encoding');
    expect((await readText(bytes.subarray(0, 201))).refusal?.code).toBe('soundings/encoding');
  });

  test('C04 windows-1252 bytes in a notes column do not affect the numbers, and give one warning', async () => {
    const lines = [`${HEADER},note`, ...goodRows(20).map((row, i) => `${row},${i === 12 ? 'm\xE4rk' : 'x'}`)];
    const result = await readText(Buffer.from(`${lines.join('\n')}\n`, 'latin1'));
    expect(result.rows).toHaveLength(20);
    expect(result.codes.filter((code) => code === 'encoding')).toHaveLength(1);
  });

  test('C05 LF, CR LF, CR and a mixture give the same rows, and only the mixture gives a warning', async () => {
    const lines = [HEADER, ...goodRows(20)];
    const mixed = lines.map((line, i) => line + ['\n', '\r\n', '\r'][i % 3]).join('');
    for (const end of ['\n', '\r\n', '\r']) {
      const result = await readText(lines.map((line) => line + end).join(''), {}, 16);
      expect(rows(result)).toEqual(rows(await readText(plain)));
      expect(result.rows.map((row) => row.line)).toEqual(lines.slice(1).map((_, i) => i + 2));
      expect(result.codes).not.toContain('line-ends');
    }
    const result = await readText(mixed);
    expect(rows(result)).toEqual(rows(await readText(plain)));
    expect(result.codes).toContain('line-ends');
  });

  test('C06 blank lines, lines of commas and lines of spaces are not rows', async () => {
    const result = await readText(`${goodLogWith('', ',,', '   ', ' , , ')}\n\n\n`);
    expect(result.account).toEqual({ read: 20, used: 20, dropped: {} });
    expect(result.rows.at(-1)?.line).toBe(25);
  });

  test('C07 a complete last row without a line end is used', async () => {
    const result = await readText(plain.trimEnd());
    expect(rows(result)).toEqual(rows(await readText(plain)));
    expect(result.codes).not.toContain('cut-line');
  });

  test('C07 a last row without a line end is used if unused columns follow the used ones', async () => {
    const result = await readText('lat,lon,depth_m,note\n59.5,24.5,12,ok\n59.6,24.6,12,no');
    expect(result.rows).toHaveLength(2);
  });

  test('C08 a last row with fewer fields is dropped as truncated', async () => {
    const result = await readText(`${plain}59.5,24.5`);
    expect(result.account).toEqual({ read: 21, used: 20, dropped: { 'soundings/truncated': 1 } });
    expect(result.diagnostics.find((d) => d.code === 'soundings/truncated')).toMatchObject({
      severity: 'warning',
      place: { file: 'log.csv', line: 22 },
      message: 'Last row dropped: the file ends after 2 of the 3 values of the row, as when recording stops.',
    });
  });

  test.each(['59.5,24.5,12.', '59.5,24.5,1', '59.5,24.5,12.4'])(
    'C09 a last line cut within its last number (%s of 12.45) is dropped',
    async (last) => {
      const result = await readText(`${plain}${last}`);
      expect(result.account?.dropped).toEqual({ 'soundings/cut-line': 1 });
      expect(result.rows).toHaveLength(20);
    },
  );

  test('C09 --keep-last uses a last line without a line end', async () => {
    const result = await readText(`${plain}59.5,24.5,1`, { keepLast: true });
    expect(result.rows.at(-1)).toMatchObject({ depth: 1, line: 22 });
  });

  test.each([
    ['C10', 0x00],
    ['C12', 0xff],
  ])('%s a tail of erased bytes (%i) is skipped with a warning', async (_, byte) => {
    const result = await readText(Buffer.concat([Buffer.from(plain), Buffer.alloc(512, byte)]));
    expect(rows(result)).toEqual(rows(await readText(plain)));
    expect(result.diagnostics.find((d) => d.code === 'soundings/erased-tail')?.message).toContain(
      'The end of this file is erased (512 bytes of hex 00 or FF).',
    );
  });

  test('C10 a tail of 2.5 million erased bytes is skipped too', async () => {
    const result = await readText(Buffer.concat([Buffer.from(plain), Buffer.alloc(2_500_000)]));
    expect(result.rows).toHaveLength(20);
    expect(result.codes).toContain('erased-tail');
  });

  test('C10 the row that runs into erased bytes is dropped', async () => {
    const result = await readText(Buffer.concat([Buffer.from(`${plain}59.5,24.5,3.2`), Buffer.alloc(512)]));
    expect(result.account?.dropped).toEqual({ 'soundings/erased': 1 });
  });

  test('C11 erased bytes in the middle of a file drop the affected row, and later rows keep their line numbers', async () => {
    const lines = [HEADER, ...goodRows(20)];
    const before = Buffer.from(`${lines.slice(0, 11).join('\n')}\n`);
    const after = Buffer.from(`${lines.slice(11).join('\n')}\n`);
    for (const chunk of [16, 1 << 19]) {
      const result = await readText(Buffer.concat([before, Buffer.alloc(600), after]), {}, chunk);
      expect(result.account).toEqual({ read: 20, used: 19, dropped: { 'soundings/erased': 1 } });
      expect(result.diagnostics.find((d) => d.code === 'soundings/erased')?.place?.line).toBe(12);
      expect(result.rows.map((row) => row.line)).toEqual([
        2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 13, 14, 15, 16, 17, 18, 19, 20, 21,
      ]);
    }
  });

  test('C13 a control byte inside a field drops the row', async () => {
    const result = await readText(goodLogWith('59.5,24.5,3\x012.5'));
    expect(result.account?.dropped).toEqual({ 'soundings/control': 1 });
    const noted = await readText(`${HEADER},note\n59.5,24.5,3.2,a\x07b\n${goodRows(9).join(',x\n')},x\n`);
    expect(noted.account?.dropped).toEqual({ 'soundings/control': 1 });
  });

  test('C14 a file of 0 bytes is refused as empty', async () => {
    expect((await readText('')).refusal).toMatchObject({
      code: 'soundings/empty-file',
      message: 'This log is empty. Copy the log from the unit again, or leave it out.',
    });
    expect((await readText('\n\n  \n')).refusal?.code).toBe('soundings/empty-file');
  });

  test('C15 a header alone gives no soundings and a warning', async () => {
    for (const text of [`${HEADER}\n`, HEADER, 'lat,lon,depth\n']) {
      const result = await readText(text);
      expect(result.account).toEqual({ read: 0, used: 0, dropped: {} });
      expect(result.codes).toContain('no-soundings');
    }
  });

  test('C16 a log without a header is refused, unless --columns names its columns', async () => {
    const text = `${goodRows(20).join('\n')}\n`;
    const { refusal } = await readText(text);
    expect(refusal?.code).toBe('soundings/no-header');
    expect(refusal?.message).toContain('"59.500000,24.500000,3.25"');
    expect(refusal?.message).toContain('--columns lat,lon,depth');
    const result = await readText(text, { columns: ['lat', 'lon', 'depth'], depthUnit: 'm' });
    expect(rows(result)).toEqual(rows(await readText(plain)));
    expect(result.rows[0].line).toBe(1);
    const feet = await readText(text, { columns: ['lat', 'lon', 'depth(ft)'] });
    expect(feet.rows[0].depth).toBeCloseTo(3.25 * 0.3048, 4);
  });

  test('C16 with --columns a header is skipped, with a warning', async () => {
    const result = await readText(plain, { columns: ['lat', 'lon', 'depth_m'] });
    expect(result.rows).toHaveLength(20);
    expect(result.codes).toContain('header-skipped');
  });

  test('C17 a header after preamble and comment lines is found, and its line is reported', async () => {
    const preamble = ['# recorded on the lake', '; unit 3', '// serial 0012', 'Lake survey, second day', ''];
    const result = await readText([...preamble, plain].join('\n'));
    expect(rows(result)).toEqual(rows(await readText(plain)));
    expect(result.diagnostics.find((d) => d.code === 'soundings/header-line')).toMatchObject({
      place: { line: 6 },
      message: 'Everything before the header is skipped. The header is "lat,lon,depth_m".',
    });
  });

  test('C18 a row of units below the header gives the units', async () => {
    const result = await readText(`lat,lon,depth\ndeg,deg,ft\n${goodRows(20).join('\n')}\n`);
    expect(result.rows[0].depth).toBeCloseTo(3.25 * 0.3048, 4);
    expect(result.codes).toContain('units-row');
    expect(result.account?.read).toBe(20);
  });

  test('C19 a repeated header in the middle of a file is skipped and counted', async () => {
    const result = await readText(goodLogWith(HEADER, HEADER));
    expect(result.account).toEqual({ read: 20, used: 20, dropped: {} });
    expect(result.diagnostics.find((d) => d.code === 'soundings/header-repeated')).toMatchObject({
      count: 2,
    });
  });

  test('C20 a second header with other columns and units applies to the rows below it', async () => {
    const result = await readText(`${plain}depth_ft,lon,lat\n10,24.7,59.7\n`);
    expect(result.rows.at(-1)).toMatchObject({ lat: 59.7, lon: 24.7, depth: 3.048, line: 23 });
    expect(result.codes).toContain('header-changed');
    const quoted = await readText(`${plain}"depth_ft","lon","lat"\n10,24.7,59.7\n`);
    expect(quoted.rows.at(-1)).toMatchObject({ lat: 59.7, lon: 24.7, depth: 3.048 });
  });

  test('C21 a second header with unknown columns is refused at its line', async () => {
    const { refusal } = await readText(`${plain}lat,lon,tiefe\n59.7,24.7,3\n`);
    expect(refusal).toMatchObject({ code: 'soundings/header-changed', place: { line: 22 } });
  });

  test('C21 a second header is read by the names given with --map', async () => {
    const text = `lat,lon,tiefe\n${goodRows(20).join('\n')}\ntiefe,lon,lat\n10,24.7,59.7\n`;
    const { rows, refusal } = await readText(text, { map: ['depth=tiefe'], depthUnit: 'm' });
    expect(refusal?.message).toBeUndefined();
    expect(rows.at(-1)).toMatchObject({ lat: 59.7, lon: 24.7, depth: 10, line: 23 });
  });

  test('C22 two columns with the same name are refused, unless mapped', async () => {
    const text = `lat,lon,depth,depth\n${goodRows(20)
      .map((row) => `${row},99`)
      .join('\n')}\n`;
    const { refusal } = await readText(text, { depthUnit: 'm' });
    expect(refusal?.code).toBe('soundings/two-columns');
    expect(refusal?.message).toContain('"depth", "depth"');
    const result = await readText(text, { depthUnit: 'm', map: ['depth=#3'] });
    expect(result.rows[0].depth).toBe(3.25);
  });

  test('C23 unknown columns are ignored and listed once', async () => {
    const text = `lat,lon,depth_m,heart rate,mood\n${goodRows(20)
      .map((row) => `${row},88,fine`)
      .join('\n')}\n`;
    const result = await readText(text);
    expect(result.rows).toHaveLength(20);
    expect(
      result.diagnostics.filter((d) => d.code === 'soundings/extra-columns').map((d) => d.message),
    ).toEqual(['Some columns are not used: "heart rate" and "mood".']);
  });

  test.each([
    ['C24', ';', []],
    ['C25', '\t', []],
    ['C25', '|', []],
    ['C25', '   ', ['spaces']],
  ])('%s the delimiter %j is recognized from the header', async (_, delimiter, codes) => {
    const result = await readText(plain.replaceAll(',', delimiter));
    expect(rows(result)).toEqual(rows(await readText(plain)));
    expect(result.codes.filter((code) => code === 'spaces')).toEqual(codes);
  });

  test('C26 decimal commas between semicolons are read', async () => {
    const text = plain.replaceAll(',', ';').replaceAll('.', ',');
    expect(rows(await readText(text))).toEqual(rows(await readText(plain)));
  });

  test('C27 decimal commas between commas are refused with the likely reason', async () => {
    const { refusal } = await readText(`lat,lon,depth_m\n${'59,5,24,5,3,2\n'.repeat(5)}`);
    expect(refusal).toMatchObject({ code: 'soundings/decimal-comma', place: { line: 2 } });
    expect(refusal?.message).toContain('6 fields where the header has 3');
    expect(refusal?.message).toContain('commas are used both inside numbers and between them');
  });

  test('C28 quoted decimal commas between commas are read, with one warning', async () => {
    const text = goodRows(20)
      .map((row) =>
        row
          .split(',')
          .map((field) => `"${field.replace('.', ',')}"`)
          .join(','),
      )
      .join('\n');
    const result = await readText(`${HEADER}\n${text}\n`);
    expect(rows(result)).toEqual(rows(await readText(plain)));
    expect(result.codes.filter((code) => code === 'decimal-comma')).toHaveLength(1);
  });

  test('C29 decimal commas and points in one column are refused', async () => {
    const mixed = goodRows(20).map((row, i) =>
      (i % 3 === 0 ? row.replaceAll('.', '#') : row).replaceAll(',', ';').replaceAll('#', ','),
    );
    const { refusal } = await readText(`lat;lon;depth_m\n${mixed.join('\n')}\n`);
    expect(refusal?.code).toBe('soundings/decimal-mark');
  });

  test.each(['1,234.5', '1.234,5', '1 234', "1'234", '1.234.567'])(
    'C30 a number with thousands separators (%s) drops its row and is never guessed',
    async (text) => {
      const result = await readText(goodLogWith(`59.5,24.5,"${text}"`), { maxDepth: 12000 });
      expect(result.account?.dropped).toEqual({ 'soundings/grouped-number': 1 });
      expect(result.diagnostics.find((d) => d.code === 'soundings/grouped-number')?.place?.line).toBe(ODD);
    },
  );

  test('C31 quoted fields, doubled quotes and line breaks in quotes follow RFC 4180', async () => {
    const notes = ['"a, b"', '"say ""hi"""', '"two\nlines"', 'plain'];
    const text = goodRows(20)
      .map((row, i) => `${row},${notes[i % 4]}`)
      .join('\n');
    for (const chunk of [40, 1 << 19]) {
      const result = await readText(`${HEADER},note\n${text}\n`, {}, chunk);
      expect(rows(result)).toEqual(rows(await readText(plain)));
      expect(result.account).toEqual({ read: 20, used: 20, dropped: {} });
      expect(result.rows.slice(0, 5).map((row) => row.line)).toEqual([2, 3, 4, 6, 7]);
    }
  });

  test('C32 a stray quote inside an unquoted note is kept as it is, with a warning', async () => {
    const text = goodRows(20)
      .map((row, i) => `${row},${i === 5 ? '5" rod' : 'x'}`)
      .join('\n');
    const result = await readText(`${HEADER},note\n${text}\n`);
    expect(result.rows).toHaveLength(20);
    expect(result.diagnostics.find((d) => d.code === 'soundings/stray-quote')?.place?.line).toBe(7);
  });

  test('C33 an unclosed quote drops only its own line, and is reported with that line', async () => {
    const text = goodRows(20)
      .map((row, i) => `${row},${i === 5 ? '"open' : 'x'}`)
      .join('\n');
    const result = await readText(`${HEADER},note\n${text}\n`);
    expect(result.account).toEqual({ read: 20, used: 19, dropped: { 'soundings/quote': 1 } });
    expect(result.diagnostics.find((d) => d.code === 'soundings/quote')?.place?.line).toBe(7);
    expect(result.rows.map((row) => row.line)).not.toContain(7);
    expect(result.rows.at(-1)?.line).toBe(21);
  });

  test.each(['59.5,24.5', '59.5,24.5,3.2,7,8'])(
    'C34 a row with too few or too many fields (%s) is dropped',
    async (line) => {
      const result = await readText(goodLogWith(line));
      expect(result.account).toEqual({ read: 21, used: 20, dropped: { 'soundings/fields': 1 } });
      expect(result.diagnostics.find((d) => d.code === 'soundings/fields')?.place?.line).toBe(ODD);
    },
  );

  test('C35 spaces, tabs and no-break spaces around values are trimmed', async () => {
    const result = await readText(goodLogWith(' 59.5 ,\t24.5\t,\u00A03.2\u202F'));
    expect(result.rows[10]).toMatchObject({ lat: 59.5, lon: 24.5, depth: 3.2 });
    expect(result.account?.used).toBe(21);
  });

  test('C36 a first line sep=; sets the delimiter', async () => {
    const result = await readText(`sep=;\r\n${plain.replaceAll(',', ';')}`);
    expect(result.rows).toHaveLength(20);
    expect(result.codes).not.toContain('header-line');
  });

  test.each(['="59.5",24.5,3.2', "'59.5,24.5,3.2", '"=""59.5""",24.5,3.2'])(
    'C36 spreadsheet text (%s) drops its row',
    async (line) => {
      expect((await readText(goodLogWith(line))).account?.dropped).toEqual({ 'soundings/spreadsheet': 1 });
    },
  );

  test('C37 a line of more than 1 MiB is refused', async () => {
    const { refusal } = await readText(`${plain}${'7'.repeat(1_200_000)}`);
    expect(refusal).toMatchObject({ code: 'soundings/long-line', place: { line: 22 } });
    expect((await readText('7'.repeat(1_200_000))).refusal?.code).toBe('soundings/long-line');
  });

  test.each([
    ['a gzip file', [0x1f, 0x8b, 8, 0]],
    ['a zip file', [0x50, 0x4b, 3, 4]],
    ['a JPEG picture', [0xff, 0xd8, 0xff, 0xe0]],
    ['a PDF document', [0x25, 0x50, 0x44, 0x46]],
  ])('C38 %s under another name is recognized by its first bytes and refused', async (kind, bytes) => {
    const { refusal } = await readText(Uint8Array.from([...bytes, ...new Array(80).fill(7)]));
    expect(refusal?.code).toBe('soundings/foreign');
    expect(refusal?.message).toContain(kind);
  });

  test.each([
    ['an HTML page', '<!DOCTYPE html><html><body>not found</body></html>'],
    ['an HTML page', '\n<html><head></head></html>'],
    ['an XML file', '<?xml version="1.0"?><a/>'],
    ['a JSON file', '{"lat": 59.5}'],
    ['a JSON file', '[{"lat": 59.5}]'],
  ])('C39 %s saved as a log is recognized and refused', async (kind, text) => {
    expect((await readText(text)).refusal?.message).toContain(kind);
  });

  test('C40 a long log read in parts gives the same rows as when read whole, each once', async () => {
    const text = `${[HEADER, ...goodRows(4000)].join('\n')}\n`;
    const whole = await readText(text);
    const parted = await readText(text, {}, 4096, 20_000);
    expect(parted.parts.length).toBeGreaterThan(4);
    expect(parted.parts.map((part) => part.part)).toEqual(parted.parts.map((_, i) => i));
    expect(parted.rows).toEqual(whole.rows);
    expect(parted.account).toEqual(whole.account);
  });

  test('C42 text that begins like a formula is text, and a negative number is a number', async () => {
    const result = await readText(
      `${HEADER},note\n-59.5,-24.5,3.2,-x\n59.5,24.5,3.2,@a\n59.5,24.5,3.3,+b\n59.6,24.5,3.3,x\n`,
    );
    expect(result.rows[0]).toMatchObject({ lat: -59.5, lon: -24.5 });
    expect(result.account?.used).toBe(4);
  });
});

describe('row accounting', () => {
  test('every row is used or dropped for a reason, and each reason is reported once with its count', async () => {
    const result = await readText(goodLogWith('59.5,24.5,0', '59.5,24.5,', '59.5,x,3', '59.5,24.5,0'));
    expect(result.account).toEqual({
      read: 24,
      used: 20,
      dropped: { 'soundings/lost-bottom': 2, 'soundings/no-depth': 1, 'soundings/number': 1 },
    });
    expect(result.diagnostics.find((d) => d.code === 'soundings/lost-bottom')).toMatchObject({
      count: 2,
      place: { line: ODD },
    });
  });

  test('--explain names the line of every dropped row', async () => {
    const result = await readText(goodLogWith('59.5,24.5,0', '59.5,x,3', '59.5,24.5,0'), { explain: true });
    const lines = result.diagnostics.filter(
      (d) => d.severity === 'note' && d.place?.line !== undefined && d.place.line >= ODD,
    );
    expect(lines.map((d) => [d.place?.line, d.code])).toEqual([
      [12, 'soundings/lost-bottom'],
      [13, 'soundings/number'],
      [14, 'soundings/lost-bottom'],
    ]);
  });

  test('a file with more than 20 % unreadable rows is refused, and --max-dropped moves the limit', async () => {
    const text = goodLogWith(...new Array(8).fill('59.5,24.5,3x2'));
    const { refusal } = await readText(text);
    expect(refusal?.place?.line).toBe(12);
    expect(refusal?.message).toBe(
      'This log is not used: 8 of its 28 rows cannot be used. The most frequent reason: "3x2" in column "depth_m" is not a number. To use the other rows as they are, add --max-dropped 0.29 (now 0.2).',
    );
    expect((await readText(text, { maxDropped: 0.29 })).rows).toHaveLength(20);
  });

  test('rows without a depth do not count toward --max-dropped', async () => {
    const result = await readText(goodLogWith(...new Array(40).fill('59.5,24.5,')));
    expect(result.account).toEqual({ read: 60, used: 20, dropped: { 'soundings/no-depth': 40 } });
  });
});
