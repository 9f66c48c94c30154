import {
  type DisplayUnits,
  type LengthUnit,
  METERS_PER,
  METERS_PER_SECOND_PER,
  type NumberOption,
  type OptionDefinition,
  Refusal,
} from '../contract/index.ts';
import { lengthUnitOf, parseDay, parseNumber, optionMessages as says, speedUnitOf } from '../text/index.ts';

const NUMBER = String.raw`[+-]?(?:\d+(?:\.\d*)?|\.\d+)(?:[eE][+-]?\d{1,3})?`;
const QUANTITY = new RegExp(`^\\s*(${NUMBER})\\s*([a-zA-Z/]*)\\s*$`);
const RANGE = new RegExp(`^\\s*(${NUMBER})\\s*([a-z]*)\\s*(?:-|to)\\s*(${NUMBER})\\s*([a-z]*)\\s*$`);
const OFF = ['off', 'false', 'no'];
const ON = ['on', 'true', 'yes', ''];

/**
 * Parses the text that the user typed for one option. Quantities are converted to SI units, but angles stay
 * in degrees.
 *
 * Lengths, distances and speeds without a suffix are in `units` (ft, yd and mph, or m, m and km/h). So are
 * the depths of a range (ft or m). The value of a `file` option stays a path, to be read later, and the date
 * `today` stays `today`.
 *
 * @param option The option as the user wrote it (`--draft`, or a configuration key), for messages.
 * @throws Refusal (status 2) for a value that does not fit the definition.
 */
export function parseOptionValue(
  definition: OptionDefinition,
  option: string,
  text: string,
  units: DisplayUnits,
): unknown {
  switch (definition.kind) {
    case 'switch':
      return parseSwitch(option, text);
    case 'choice':
      if (!definition.choices.includes(text)) refuse(option, text, `one of ${definition.choices.join(', ')}`);
      return text;
    case 'text': {
      const { pattern, isValid, expected } = definition;
      if (pattern !== undefined && !new RegExp(`^(?:${pattern.source})$`, pattern.flags).test(text))
        refuse(option, text, expected ?? `text like ${pattern.source}`);
      if (isValid?.(text) === false) refuse(option, text, expected ?? 'a valid value');
      return text;
    }
    case 'date':
      return parseDate(option, text);
    case 'list': {
      const { isPath, isValid, expected } = definition;
      if (isPath) return [text];
      const items = text
        .split(',')
        .map((item) => item.trim())
        .filter((item) => item !== '');
      for (const item of items)
        if (isValid?.(item) === false) refuse(option, item, expected ?? 'a valid value');
      return items;
    }
    case 'file':
      return text;
    case 'range':
      return parseRange(option, text, units);
    default:
      return parseQuantity(definition, option, text, units);
  }
}

function refuse(option: string, text: string, expected: string): never {
  throw new Refusal([says.value(undefined, option, text, expected)], 2);
}

function parseSwitch(option: string, text: string): boolean {
  const word = text.toLowerCase();
  if (ON.includes(word)) return true;
  if (OFF.includes(word)) return false;
  return refuse(option, text, 'on or off');
}

/** Returns a date as `YYYY-MM-DD`, or `today`. For an ambiguous date, see the default of `parseDay`. */
const parseDate = (option: string, text: string): string =>
  text === 'today'
    ? text
    : (parseDay(text)?.day ?? refuse(option, text, 'a day such as 2026-05-18 or 5/18/2026'));

function parseRange(option: string, text: string, units: DisplayUnits): { top: number; bottom: number } {
  const match = RANGE.exec(text);
  const expected = 'two depths, the shallower first, such as 22-27ft or 3.5-5.5m';
  if (match === null) return refuse(option, text, expected);
  const bottomUnit = match[4] || match[2] || units;
  const topUnit = match[2] || bottomUnit;
  const top = parseNumber(match[1]) * metersPer(topUnit);
  const bottom = parseNumber(match[3]) * metersPer(bottomUnit);
  if (!(top >= 0 && bottom > top)) refuse(option, text, expected);
  return { top, bottom };
}

/** Returns the meters in a unit, given by symbol or name; NaN for anything but a unit of length. */
function metersPer(unit: string): number {
  const known = Object.hasOwn(METERS_PER, unit) ? (unit as LengthUnit) : lengthUnitOf(unit);
  return known === undefined ? Number.NaN : METERS_PER[known];
}

const speedPer = (unit: string): number | undefined => {
  const known = speedUnitOf(unit);
  return known && METERS_PER_SECOND_PER[known];
};

interface Kind {
  readonly expected: string;
  readonly si?: string;
  /** Unit of a number without a suffix, by display unit; absent when all users have the same unit. */
  readonly bare?: Readonly<Record<DisplayUnits, string>>;
  /** Returns the size of a typed unit in SI units; undefined or NaN if the unit is not accepted. */
  per(unit: string): number | undefined;
}

const LENGTH = { si: 'm', per: metersPer };
const unitIn = (factors: Readonly<Record<string, number>>) => (unit: string) => factors[unit];

const KINDS: Readonly<Record<NumberOption['kind'], Kind>> = {
  number: { expected: 'a number', per: unitIn({ '': 1 }) },
  count: { expected: 'a whole number', per: unitIn({ '': 1 }) },
  length: { ...LENGTH, expected: 'a length such as 3ft or 0.9m', bare: { ft: 'ft', m: 'm' } },
  distance: { ...LENGTH, expected: 'a distance such as 50yd or 45m', bare: { ft: 'yd', m: 'm' } },
  speed: {
    expected: 'a speed such as 5mph or 8km/h',
    si: 'm/s',
    bare: { ft: 'mph', m: 'km/h' },
    per: speedPer,
  },
  angle: { expected: 'an angle in degrees', si: 'deg', per: unitIn({ '': 1, deg: 1 }) },
  seconds: {
    expected: 'a time such as 30s or 5min',
    si: 's',
    per: unitIn({ '': 1, s: 1, min: 60, h: 3600 }),
  },
};

/** Returns a space and the unit of an option's parsed value, such as ` m`; empty if there is no unit. */
export function siSuffix({ kind }: Pick<OptionDefinition, 'kind'>): string {
  const si = KINDS[kind as NumberOption['kind']]?.si;
  return si === undefined ? '' : ` ${si}`;
}

function parseQuantity(definition: NumberOption, option: string, text: string, units: DisplayUnits): number {
  const { expected, bare, per } = KINDS[definition.kind];
  const [, number, suffix] = QUANTITY.exec(text) ?? [];
  const factor = number === undefined ? undefined : per(suffix || bare?.[units] || '');
  if (!(factor !== undefined && factor > 0)) return refuse(option, text, expected);
  const value = parseNumber(number) * factor;
  if (definition.kind === 'count' && !Number.isInteger(value)) refuse(option, text, expected);
  checkRange(definition, option, text, value, units);
  return value;
}

/** Formats a time in the largest unit, up to hours, that makes it a whole number. */
export function durationText(seconds: number): string {
  const [unit, size] = Object.entries({ h: 3600, min: 60 }).find(([, size]) => seconds % size === 0) ?? [
    's',
    1,
  ];
  return seconds === 0 ? '0 s' : `${seconds / size} ${unit}`;
}

/** Shortest limit that is given in kilometers or miles, m. */
const FAR = 10_000;

/** Formats a limit in the user's units. A limit that must be converted is rounded to a tenth. */
function limitText(
  kind: NumberOption['kind'],
  value: number,
  units: DisplayUnits,
  round: (value: number) => number,
): string {
  if (kind === 'seconds') return durationText(value);
  const { bare, per } = KINDS[kind];
  const isFar = bare !== undefined && per === metersPer && value >= FAR;
  const unit = isFar ? { ft: 'mi', m: 'km' }[units] : bare?.[units];
  if (unit === undefined || unit === 'm') return `${value}${siSuffix({ kind })}`;
  return `${round(Number(((10 * value) / per(unit)!).toFixed(6))) / 10} ${unit}`;
}

/** Formats the limits of an option in the user's units; a missing limit is undefined. */
export const limitTexts = ({ kind, min, max }: NumberOption, units: DisplayUnits) => ({
  least: min === undefined ? undefined : limitText(kind, min, units, Math.ceil),
  most: max === undefined ? undefined : limitText(kind, max, units, Math.floor),
});

function checkRange(
  definition: NumberOption,
  option: string,
  text: string,
  value: number,
  units: DisplayUnits,
): void {
  const { min, max, exclusiveMin } = definition;
  const { least, most } = limitTexts(definition, units);
  const low = least && (exclusiveMin ? `more than ${least}` : `${least} or more`);
  const high = most && `${most} or less`;
  const tooLow = min !== undefined && (exclusiveMin ? value <= min : value < min);
  const tooHigh = max !== undefined && value > max;
  if (Number.isFinite(value) && !tooLow && !tooHigh) return;
  // The user may have meant another unit for a bare distance, so the message names the unit assumed.
  const isBare = /^[\s\d.+-]*$/.test(text);
  const unit = isBare && definition.kind === 'distance' ? ` ${KINDS.distance.bare?.[units]}` : '';
  const limits = [low, high].filter((part) => part !== undefined).join(' and ');
  throw new Refusal([says.range(undefined, option, `${text}${unit}`, limits)], 2);
}
