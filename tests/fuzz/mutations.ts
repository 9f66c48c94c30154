/** Returns a reproducible whole number in [0, below). */
export type Choose = (below: number) => number;

/** Reproducible choices from a seed (mulberry32). */
export function createChoose(seed: number): Choose {
  let state = seed | 0;
  return (below) => {
    state = (state + 0x6d2b79f5) | 0;
    let t = Math.imul(state ^ (state >>> 15), 1 | state);
    t = (t + Math.imul(t ^ (t >>> 7), 61 | t)) ^ t;
    return Math.floor((((t ^ (t >>> 14)) >>> 0) / 2 ** 32) * below);
  };
}

type Mutation = (bytes: Buffer, choose: Choose) => Buffer;

/** Fields that occur in logs or are hard to parse. */
const ODD_FIELDS = [
  '',
  ' ',
  '-',
  '--',
  '---',
  'NaN',
  'null',
  'N/A',
  '0',
  '0.0',
  '-0',
  '-1',
  '9999',
  '-9999',
  '65535',
  '4294967295',
  '1e999',
  'Infinity',
  '0x10',
  '1_000',
  '1,234.5',
  '1.234,5',
  '1 234',
  "1'234",
  '12ft',
  '12.3 m',
  '3 fathoms',
  '.',
  '+',
  '1.',
  '.5',
  '+1',
  '1e-3',
  '--5',
  '1-2',
  '59,5',
  '5930.253',
  '0130.5',
  '595000000',
  '181',
  '361',
  '91',
  '-91',
  '59.5N',
  'S59.5',
  '59°30\'15.2"N',
  '59 60.0',
  '\u221259.5',
  '\u0665\u0669',
  '"',
  '""',
  '"a',
  'a"b',
  '"a""b"',
  '="59.5"',
  "'59.5",
  '@x',
  '#',
  '//',
  '2024-02-30',
  '2024-01-01T25:00:00Z',
  '12:60',
  '1700000000',
  '1700000000000',
  '45292.43',
  '01/02/2024',
  '10:15 PM',
  '23:59:60',
  'yesterday',
  '\u00a05.5\u202f',
  'x'.repeat(300),
  '7'.repeat(400),
];

const ODD_LINES = [
  '',
  ',,,',
  '   ',
  ';;;',
  '# comment',
  '; comment',
  '// comment',
  'lat,lon,depth_m',
  'lat,lon,tiefe',
  'depth_ft,lon,lat',
  'deg,deg,m',
  'end of file',
  '<html>',
  '{',
  '"',
  '59.5',
  '59.5,24.5',
  '59.5,24.5,3.2,7,8,9,10',
  '\0\0\0\0\0\0\0\0',
  '\xff\xff\xff\xff',
  'sep=;',
];

const MUTATIONS: readonly (readonly [name: string, mutation: Mutation])[] = [
  [
    'flip a byte',
    (b, c) =>
      edit(b, (copy) => {
        copy[c(copy.length)] ^= 1 << c(8);
      }),
  ],
  [
    'set a byte',
    (b, c) =>
      edit(b, (copy) => {
        copy[c(copy.length)] = c(256);
      }),
  ],
  ['insert a byte', (b, c) => splice(b, c(b.length), 0, Buffer.from([c(256)]))],
  [
    'insert punctuation',
    (b, c) => splice(b, c(b.length), 0, Buffer.from(',;."\' \t\r\n-+eE°'[c(15)] ?? ',')),
  ],
  ['delete bytes', (b, c) => splice(b, c(b.length), 1 + c(4), Buffer.alloc(0))],
  [
    'repeat bytes',
    (b, c) => {
      const at = c(b.length);
      return splice(b, at, 0, b.subarray(at, at + 1 + c(20)));
    },
  ],
  [
    'erase a block',
    (b, c) => {
      const at = c(b.length);
      return edit(b, (copy) => {
        copy.fill(c(2) * 255, at, Math.min(copy.length, at + 1 + c(100)));
      });
    },
  ],
  ['insert an erased block', (b, c) => splice(b, c(b.length), 0, Buffer.alloc(1 + c(600), c(2) * 255))],
  ['truncate', (b, c) => b.subarray(0, c(b.length))],
  [
    'delete a line',
    (b, c) =>
      onLines(b, (lines) => {
        lines.splice(c(lines.length), 1);
      }),
  ],
  [
    'repeat a line',
    (b, c) =>
      onLines(b, (lines) => {
        const at = c(lines.length);
        lines.splice(at, 0, lines[at]);
      }),
  ],
  [
    'swap lines',
    (b, c) =>
      onLines(b, (lines) => {
        const [i, j] = [c(lines.length), c(lines.length)];
        [lines[i], lines[j]] = [lines[j], lines[i]];
      }),
  ],
  [
    'join lines',
    (b, c) =>
      onLines(b, (lines) => {
        const at = c(lines.length - 1);
        lines.splice(at, 2, lines[at] + (lines[at + 1] ?? ''));
      }),
  ],
  [
    'insert a line',
    (b, c) =>
      onLines(b, (lines) => {
        lines.splice(c(lines.length + 1), 0, ODD_LINES[c(ODD_LINES.length)]);
      }),
  ],
  [
    'replace a field',
    (b, c) =>
      onFields(b, c, (fields) => {
        fields[c(fields.length)] = ODD_FIELDS[c(ODD_FIELDS.length)];
      }),
  ],
  [
    'delete a field',
    (b, c) =>
      onFields(b, c, (fields) => {
        fields.splice(c(fields.length), 1);
      }),
  ],
  [
    'add a field',
    (b, c) =>
      onFields(b, c, (fields) => {
        fields.splice(c(fields.length + 1), 0, ODD_FIELDS[c(ODD_FIELDS.length)]);
      }),
  ],
  [
    'swap fields',
    (b, c) =>
      onFields(b, c, (fields) => {
        fields.reverse();
      }),
  ],
  [
    'replace a column',
    (b, c) =>
      onLines(b, (lines) => {
        const column = c(4);
        const text = ODD_FIELDS[c(ODD_FIELDS.length)];
        for (let i = 1; i < lines.length; i++) {
          const fields = lines[i].split(/[,;\t]/);
          if (fields.length > column && c(10) < 9) {
            fields[column] = text;
            lines[i] = fields.join(',');
          }
        }
      }),
  ],
];

/** Applies one to three mutations to a log. The name lists the mutations. */
export function mutate(bytes: Uint8Array, choose: Choose): { bytes: Uint8Array; name: string } {
  let result = Buffer.from(bytes);
  let name = '';
  for (let n = [1, 1, 1, 2, 3][choose(5)]; n > 0; n--) {
    if (result.length < 2) break;
    const [title, mutation] = MUTATIONS[choose(MUTATIONS.length)];
    result = Buffer.from(mutation(result, choose));
    name = name === '' ? title : `${name}, ${title}`;
  }
  return { bytes: result, name };
}

function edit(bytes: Buffer, change: (copy: Buffer) => void): Buffer {
  const copy = Buffer.from(bytes);
  change(copy);
  return copy;
}

const splice = (bytes: Buffer, at: number, remove: number, insert: Uint8Array): Buffer =>
  Buffer.concat([bytes.subarray(0, at), insert, bytes.subarray(at + remove)]);

function onLines(bytes: Buffer, change: (lines: string[]) => void): Buffer {
  const lines = bytes.toString('latin1').split('\n');
  change(lines);
  return Buffer.from(lines.join('\n'), 'latin1');
}

function onFields(bytes: Buffer, choose: Choose, change: (fields: string[]) => void): Buffer {
  return onLines(bytes, (lines) => {
    const at = choose(lines.length);
    const delimiter = /[,;\t|]/.exec(lines[at])?.[0] ?? ',';
    const fields = lines[at].split(delimiter);
    change(fields);
    lines[at] = Buffer.from(fields.join(delimiter), 'utf8').toString('latin1');
  });
}
