import type { DepthReference, LengthUnit } from '../../../shared/contract/index.ts';
import { lengthUnitOf, meaningOf } from '../../../shared/text/index.ts';

export type Role =
  | 'lat'
  | 'lon'
  | 'depth'
  | 'elevation'
  | 'time'
  | 'date'
  | 'temperature'
  | 'unit'
  | 'ns'
  | 'ew'
  | 'datum'
  | 'channel'
  | 'x'
  | 'y'
  | 'grid'
  | 'valid'
  | 'ignore';

export type TemperatureUnit = 'C' | 'F';

/** A column of a log, as described by its name in the header. */
export interface Column {
  readonly name: string;
  readonly role: Role;
  readonly unit?: LengthUnit;
  /** The level from which depths in this column are measured. */
  readonly from?: DepthReference;
  readonly temperatureUnit?: TemperatureUnit;
}

const TEMPERATURE_WORDS = meaningOf<TemperatureUnit>({ C: 'c celsius degc', F: 'f fahrenheit degf' });

const words = (text: string): readonly string[] => text.split(' ');

/**
 * Known names of columns, by what the column holds. A longer name may match by one of its words. Case,
 * spacing and an added unit do not matter.
 */
export const KNOWN_NAMES = {
  latitude: words('lat latitude latdeg latdd'),
  longitude: words('lon long lng longitude londeg longdeg londd'),
  depth: words('depth depths dpt dbt dbs dbk sounding soundings waterdepth bottomdepth'),
  elevation: words('z elev elevation bottomelevation'),
  time: words('time times timestamp datetime utc gpstime unixtime epoch isotime utctime'),
  date: words('date utcdate day gpsdate'),
  temperature: words('temp temperature watertemp watertemperature wtemp tempc tempf'),
  /** Names of columns in which a log marks rows as unusable. */
  validity: words('valid isvalid validity status invalid void'),
};
const REFERENCES = meaningOf<DepthReference>({
  surface: 'surface waterline dbs',
  transducer: 'transducer xducer dbt',
  keel: 'keel dbk',
});
const GRID = words('northing easting northings eastings utm utmx utmy utme utmn');
const DATUM = words('datum crs horizontaldatum geodeticdatum');
/** Words that make a column ignored: the column describes another value, a fish, a lure or the boat. */
const ABOUT = words(
  'flag quality sd std stdev error err accuracy uncertainty source age count confidence fish lure target range scale offset draft draught',
);
/** Words in a row of units that are not units of length or temperature. */
const OTHER_UNITS = words(
  'deg degree degrees dd utc gmt iso s sec ms kn kt kts kmh mph hz khz v hpa local none unitless',
);
/** Words beside `time` that name another quantity, such as a travel time. */
const OTHER_TIME = words('travel elapsed zone ping two way local offset since start end duration');
const OTHER_TEMPERATURE = words('air board cpu unit internal device transducer');
const HEMISPHERE = words('dir direction hemisphere hemi ind indicator ref');

/**
 * Finds what a column holds from its name. Case, spaces, underscores, quotes and a byte order mark do not
 * matter. A unit in the name is recognized (`depth_m`, `Depth [fm]`, `depthFeet`, `Temp (F)`).
 */
export function readColumnName(raw: string): Column {
  const name = raw
    .replace(/^\uFEFF/, '')
    .trim()
    .replace(/^"(.*)"$/, '$1')
    .trim();
  const words = nameWords(name);
  const role = roleOf(words);
  const column: { -readonly [K in keyof Column]: Column[K] } = { name, role };
  const last = words.at(-1) ?? '';
  if (role === 'temperature') column.temperatureUnit = temperatureUnitOf(words);
  // A column with an unknown name keeps its unit too, since `--map` may make the column the depth.
  else {
    column.unit = words.length > 1 ? lengthUnitOf(last) : undefined;
    if (role === 'depth') column.unit ??= gluedUnit(words);
    column.from = referenceOf(words);
  }
  return column;
}

export const temperatureUnitWord = (text: string): TemperatureUnit | undefined =>
  TEMPERATURE_WORDS.get(text.toLowerCase().replace(/[^a-z]/g, ''));

export function isUnitWord(text: string): boolean {
  const word = text.toLowerCase().replace(/[^a-z]/g, '');
  return (
    lengthUnitOf(text) !== undefined || temperatureUnitWord(text) !== undefined || OTHER_UNITS.includes(word)
  );
}

export const plainColumnName = (name: string): string => name.toLowerCase().replace(/[^\p{L}\p{N}]/gu, '');

const nameWords = (name: string): readonly string[] =>
  name
    .replace(/(\p{Ll})(\p{Lu})/gu, '$1 $2')
    .toLowerCase()
    .split(/[^\p{L}\p{N}]+/u)
    .filter((word) => word !== '');

function roleOf(words: readonly string[]): Role {
  const joined = words.join('');
  const has = (list: readonly string[]) => words.some((word) => list.includes(word)) || list.includes(joined);
  if (words.length === 0) return 'ignore';
  if (joined === 'ns' || (has(KNOWN_NAMES.latitude) && has(HEMISPHERE))) return 'ns';
  if (joined === 'ew' || (has(KNOWN_NAMES.longitude) && has(HEMISPHERE))) return 'ew';
  if (['unit', 'units', 'depthunit', 'depthunits', 'unitofdepth'].includes(joined)) return 'unit';
  if (has(KNOWN_NAMES.validity) && !has(ABOUT)) return 'valid';
  if (has(ABOUT) || isDepthOfBoat(words)) return 'ignore';
  if (has(GRID)) return 'grid';
  if (has(DATUM)) return 'datum';
  if (has(KNOWN_NAMES.latitude)) return 'lat';
  if (has(KNOWN_NAMES.longitude)) return 'lon';
  if (has(KNOWN_NAMES.temperature) && !has(OTHER_TEMPERATURE)) return 'temperature';
  if (has(KNOWN_NAMES.depth) || gluedUnit(words) !== undefined || DEPTH_BELOW.test(joined)) return 'depth';
  if (has(KNOWN_NAMES.date) && !has(KNOWN_NAMES.time)) return 'date';
  if (has(KNOWN_NAMES.time) && !has(OTHER_TIME)) return 'time';
  if (words[0] === 'x' && words.length <= 2) return 'x';
  if (words[0] === 'y' && words.length <= 2) return 'y';
  if (has(KNOWN_NAMES.elevation)) return 'elevation';
  return 'ignore';
}

/** Name of a depth below a stated level, joined to one word: `depthbelowkeel`. */
const DEPTH_BELOW =
  /^(?:water|bottom)?depth(?:below|under|from)(?:the)?(?:surface|waterline|transducer|keel)/;

/** Returns whether a name means the depth of the transducer or keel, not a depth of the water. */
const isDepthOfBoat = (words: readonly string[]): boolean =>
  words.some((word, i) => /^(?:transducer|xducer|keel)$/.test(word) && /^depths?$/.test(words[i + 1] ?? ''));

function referenceOf(words: readonly string[]): DepthReference | undefined {
  const glued = DEPTH_BELOW.exec(words.join(''))?.[0] ?? '';
  return [...REFERENCES].find(([name]) => words.includes(name) || glued.endsWith(name))?.[1];
}

/** Returns the unit written in one word with "depth": ft for "depthft". */
function gluedUnit(words: readonly string[]): LengthUnit | undefined {
  const units = words.map((word) => lengthUnitOf(/^(?:water|bottom)?depth([a-z]+)$/.exec(word)?.[1] ?? ''));
  return units.find((unit) => unit !== undefined);
}

function temperatureUnitOf(words: readonly string[]): TemperatureUnit | undefined {
  const units = words.map((word) => TEMPERATURE_WORDS.get(word.replace(/^(?:water|w)?temp(?=[cf]$)/, '')));
  return units.find((unit) => unit !== undefined);
}

export const namesOf = (columns: readonly Column[], role?: Role): string[] =>
  columns.filter((column) => role === undefined || column.role === role).map(({ name }) => name);

export const findRole = (columns: readonly Column[], role: Role): number =>
  columns.findIndex((column) => column.role === role);
