import iconv from 'iconv-lite';
import { seededRandom } from '../../shared/math/statistics.ts';
import { CHILDREN_10, CHILDREN_11 } from './order-rules.ts';

/** A generated GPX file: difficult, but well-formed. */
export interface CorpusFile {
  readonly seed: number;
  readonly bytes: Uint8Array;
  readonly version: '1.0' | '1.1';
  /** True if the file is meant to be valid by the schema. */
  readonly isStrict: boolean;
  readonly encoding: string;
}

const ENCODINGS = [
  'utf-8',
  'utf-8 declared',
  'utf-8 mark',
  'utf-16le mark',
  'utf-16be mark',
  'utf-16le',
  'utf-16be',
  'iso-8859-1',
  'windows-1252',
  'windows-1251',
  'shift_jis',
  'koi8-r',
  'gb18030',
] as const;

/** Words that an encoding can represent, by encoding. */
const WORDS: Readonly<Record<string, readonly string[]>> = {
  'iso-8859-1': ['Bjørn', 'größe', 'ñ'],
  'windows-1252': ['“near”', 'Œuvre', '–'],
  'windows-1251': ['Мыс', 'яма'],
  'koi8-r': ['Мыс', 'яма'],
  shift_jis: ['岬', 'ソ表'],
  gb18030: ['岬', '𠮷'],
  'utf-8': ['Bjørn', '岬', '🎣', 'e\u0301', '\u0085', '\u2028', '\uFEFF'],
};

interface Maker {
  readonly random: () => number;
  readonly isStrict: boolean;
  readonly words: readonly string[];
  /** Prefix of GPX elements with its colon, or empty. */
  readonly lead: string;
  readonly isOld: boolean;
  readonly end: string;
  readonly indent: string;
}

export function corpusFile(seed: number): CorpusFile {
  const random = seededRandom(seed);
  const encoding = pick(random, ENCODINGS);
  const version = random() < 0.7 ? '1.1' : '1.0';
  const isStrict = random() < 0.5;
  const base = encoding.split(' ')[0].startsWith('utf') ? 'utf-8' : encoding;
  const maker: Maker = {
    random,
    isStrict,
    words: WORDS[base],
    lead: random() < 0.2 ? 'g:' : '',
    isOld: version === '1.0',
    end: pick(random, ['\n', '\n', '\r\n', '\r', '']),
    indent: pick(random, ['  ', '    ', '\t', '']),
  };
  const text = document(maker, version, encoding);
  return { seed, bytes: encode(text, encoding), version, isStrict, encoding };
}

function document(maker: Maker, version: string, encoding: string): string {
  const { random, lead, end, isOld, isStrict } = maker;
  const isDeclared = !/^utf-(8|16..)( mark)?$/.test(encoding) || random() < 0.3;
  const name = /^utf-8/.test(encoding) ? 'UTF-8' : /^utf-16/.test(encoding) ? 'UTF-16' : encoding;
  const quote = pick(random, ['"', "'"]);
  const declaration = isDeclared
    ? `<?xml version=${quote}1.0${quote} encoding=${quote}${name}${quote}?>${end}`
    : '';
  const uri = `http://www.topografix.com/GPX/${version.replace('.', '/')}`;
  const namespace = lead === '' ? `xmlns="${uri}"` : `xmlns:g='${uri}'`;
  const clash = random() < 0.15 ? ' xmlns:ds="urn:other:ds"' : '';
  const root = `<${lead}gpx ${namespace}${clash} xmlns:x="urn:x"${gap(maker)}version="${version}" creator="corpus &amp; co"${random() < 0.1 ? ' ' : ''}`;
  const head = declaration + (random() < 0.2 ? `<!-- a > b <wpt> -->${end}` : '');
  if (random() < 0.02) return `${head}${root}/>${end}`;
  const parts: string[] = [];
  if (!isOld && random() < 0.3)
    parts.push(`<${lead}metadata><${lead}name>${words(maker)}</${lead}name></${lead}metadata>`);
  const count = Math.floor(random() * 7);
  for (let i = 0; i < count; i++) parts.push(waypoint(maker, i));
  if (random() < 0.2) parts.push(`<${lead}rte><${lead}name>r</${lead}name></${lead}rte>`);
  if (random() < 0.4) parts.push(track(maker));
  if (!isStrict && random() < 0.5) parts.sort(() => random() - 0.5);
  if (!isOld && random() < 0.1) parts.push(`<${lead}extensions><x:e/></${lead}extensions>`);
  const body = parts.map(
    (part) => line(maker, 1) + part + (random() < 0.1 ? `<!-- ${words(maker).replaceAll('--', '')} -->` : ''),
  );
  const tail =
    random() < 0.2
      ? `${end}<!-- end -->${random() < 0.5 ? '<?done yes?>' : ''}${end}`
      : pick(random, [end, '', end + end]);
  return `${head}${root}>${body.join('')}${line(maker, 0)}</${lead}gpx>${tail}`;
}

/** Children that the corpus never generates. */
const LEFT_OUT = ['vdop', 'pdop', 'ageofdgpsdata', 'dgpsid'];
const orderOf = ({ wpt }: Readonly<Record<string, readonly string[]>>): readonly string[] =>
  wpt.filter((name) => !LEFT_OUT.includes(name));
const ORDER_11 = orderOf(CHILDREN_11);
const ORDER_10 = [...orderOf(CHILDREN_10), 'foreign'];

function waypoint(maker: Maker, index: number): string {
  const { random, lead, isStrict } = maker;
  const lat =
    isStrict || random() < 0.9
      ? coordinate(maker, 45 + index / 50)
      : pick(random, ['59,5', '91', '', 'north', '1.5e0', ' 44.5 ']);
  const lon =
    isStrict || random() < 0.9
      ? coordinate(maker, -93 - index / 50)
      : pick(random, ['181', '180', 'x', '+12.', '-0']);
  const order = random() < 0.5 ? ['lat', 'lon'] : ['lon', 'lat'];
  const values: Record<string, string> = { lat, lon };
  const attributes = order
    .map((name) => `${gap(maker)}${name}${random() < 0.1 ? ' = ' : '='}"${values[name]}"`)
    .join('');
  const extra = !isStrict && random() < 0.2 ? ` id='${index}'` : '';
  const local = random() < 0.05 ? ` xmlns:y="urn:y"` : '';
  const start = `<${lead}wpt${attributes}${extra}${local}`;
  if (random() < 0.12) return `${start}${pick(random, ['', ' '])}/>`;
  const children = (maker.isOld ? ORDER_10 : ORDER_11).filter(
    (name) => random() < (name === 'name' ? 0.9 : 0.3),
  );
  if (!isStrict && random() < 0.3) children.sort(() => random() - 0.5);
  if (!isStrict && random() < 0.1) children.push('name', 'cmt');
  if (!isStrict && !maker.isOld && random() < 0.1) children.push('extensions');
  const inside = children
    .map(
      (name) =>
        (random() < 0.85 ? line(maker, 2) : '') + child(maker, name) + (random() < 0.05 ? '<!-- c -->' : ''),
    )
    .join('');
  return `${start}>${inside}${random() < 0.9 ? line(maker, 1) : ''}</${lead}wpt>`;
}

function child(maker: Maker, name: string): string {
  const { random, lead, isStrict } = maker;
  const wrap = (content: string): string => {
    if (content === '' && random() < 0.5) return `<${lead}${name}${pick(random, ['', ' '])}/>`;
    return `<${lead}${name}${random() < 0.05 ? ' ' : ''}>${content}</${lead}${name}>`;
  };
  switch (name) {
    case 'ele':
      return wrap(pick(random, ['281.2', ' -1.50 ', '+3']));
    case 'time':
      return wrap(
        isStrict ? '2025-07-04T12:30:00Z' : pick(random, ['2025-07-04T12:30:00Z', 'yesterday', '']),
      );
    case 'magvar':
    case 'hdop':
    case 'geoidheight':
      return wrap('1.5');
    case 'fix':
      return wrap('3d');
    case 'sat':
      return wrap('7');
    case 'link':
      return `<${lead}link href="http://example.org/?a=1&amp;b=2"><${lead}text>${words(maker)}</${lead}text></${lead}link>`;
    case 'url':
      return wrap('http://example.org/');
    case 'foreign':
      return `<x:depth unit="ft">${Math.floor(random() * 40)}</x:depth>`;
    case 'extensions':
      return extensions(maker);
    default:
      return wrap(random() < 0.1 ? '' : words(maker));
  }
}

function extensions(maker: Maker): string {
  const { random, lead, isStrict } = maker;
  const tag = `${lead}extensions`;
  if (random() < 0.2) return `<${tag}/>`;
  if (random() < 0.1) return `<${tag}></${tag}>`;
  const content = pick(random, [
    '<x:depth>4.2</x:depth>',
    '<x:a x:b="&lt;1&gt;"><x:c/></x:a>',
    '<z:q xmlns:z="urn:z">t</z:q>',
    '<ds:q xmlns:ds="urn:inner:ds">t</ds:q>',
    isStrict ? '<x:e/>' : 'text<bare/>text',
  ]);
  return `<${tag}>${line(maker, 3)}${content}${line(maker, 2)}</${tag}>`;
}

function track(maker: Maker): string {
  const { random, lead } = maker;
  const points = Array.from(
    { length: Math.floor(random() * 5) },
    (_, i) => `<${lead}trkpt lat="${45 + i}" lon="-93"/>`,
  );
  return `<${lead}trk><${lead}name>${words(maker)}</${lead}name><${lead}trkseg>${points.join('')}</${lead}trkseg></${lead}trk>`;
}

/** Returns text for a name or comment: words in the encoding, entities, CDATA, references and XML comments. */
function words(maker: Maker): string {
  const { random } = maker;
  const piece = (): string => {
    const word = pick(random, [...maker.words, 'Ledge', 'fish 14-19 ft', 'Hump', 'A', 'ditch bend']);
    const kind = random();
    if (kind < 0.1) return `<![CDATA[${word} <b> & ]] > c]]>`;
    if (kind < 0.2) return `${word} &amp; &lt;x&gt; &quot;q&quot;`;
    if (kind < 0.25) return '&#8364;&#x41;';
    if (kind < 0.3) return `${word}<!-- in --> ${word}`;
    if (kind < 0.33) return `${maker.end} ${word} ]] > `;
    return word;
  };
  return Array.from({ length: 1 + Math.floor(random() * 3) }, piece).join(pick(random, [' ', '']));
}

const coordinate = ({ random }: Maker, value: number): string =>
  pick(random, [value.toFixed(6), value.toFixed(1), value.toFixed(20)]);

const gap = ({ random, end }: Maker): string => (random() < 0.1 && end !== '' ? `${end}  ` : ' ');

const line = ({ end, indent }: Maker, depth: number): string =>
  end === '' ? '' : end + indent.repeat(depth);

const pick = <T>(random: () => number, values: readonly T[]): T =>
  values[Math.floor(random() * values.length)];

function encode(text: string, encoding: string): Uint8Array {
  const [name, mark] = encoding.split(' ');
  if (name === 'utf-8') return Buffer.from(mark === 'mark' ? `\uFEFF${text}` : text, 'utf8');
  if (name === 'utf-16le' || name === 'utf-16be') {
    const bytes = Buffer.from(mark === 'mark' ? `\uFEFF${text}` : text, 'utf16le');
    return name === 'utf-16be' ? bytes.swap16() : bytes;
  }
  return iconv.encode(text, name);
}
