import type { Diagnostic } from '../../contract/index.ts';
import { at, quote, say } from './say-gpx.ts';

export const longNames = (file: string, count: number, longest: string): Diagnostic =>
  say(
    'note',
    'long-name',
    `Names longer than 10 characters, such as ${quote(longest)}; old units cut them. Pass --max-name to cut them here.`,
    at(file),
    count,
  );

export const otherCharacters = (file: string, count: number, example: string): Diagnostic =>
  say(
    'note',
    'name-characters',
    `Names with characters outside plain ASCII, such as ${quote(example)}. Pass --ascii if the unit does not show them.`,
    at(file),
    count,
  );

export const repeatedNames = (file: string, count: number, example: string): Diagnostic =>
  say(
    'warning',
    'repeated-name',
    `Names that occur more than once, such as ${quote(example)}; some units skip or overwrite these. Rename them.`,
    at(file),
    count,
  );

export const emptyNames = (file: string, count: number): Diagnostic =>
  say('warning', 'no-name', 'Waypoints without a name; units give them one. Name them.', at(file), count);

export const longTexts = (file: string, count: number): Diagnostic =>
  say(
    'note',
    'long-text',
    'Comments longer than 255 characters; units cut them. Pass --max-text to shorten what is added.',
    at(file),
    count,
  );

export const manyWaypoints = (file: string, count: number): Diagnostic =>
  say(
    'warning',
    'many-waypoints',
    `${count} waypoints in one file; many units keep 500 or fewer. Pass --max-waypoints to split the file.`,
    at(file),
  );

export const manyTracks = (file: string, what: string, count: number, limit: number): Diagnostic =>
  say('note', 'many-tracks', `${count} ${what} in one file; some units keep ${limit} or fewer.`, at(file));

export const longFile = (file: string, bytes: number): Diagnostic =>
  say(
    'note',
    'long-file',
    `The output has ${(bytes / 2 ** 20).toFixed(1)} MiB; some units read 4 MiB or fewer.`,
    at(file),
  );

export const textShortened = (file: string, count: number): Diagnostic =>
  say(
    'warning',
    'shortened',
    'Comments shortened to --max-text; the whole text is in the table.',
    at(file),
    count,
  );

export const symbolsUnknown = (file: string, symbols: readonly string[], instead?: string): Diagnostic =>
  say(
    'note',
    'symbol',
    `Your unit knows no symbol ${symbols.map(quote).join(' or ')}: boat positions get ${quote(instead ?? '')} instead. Give one of --symbols to --downslope-symbol and --upslope-symbol.`,
    at(file),
  );

export const originalNamesNotKept = (file: string, count: number): Diagnostic =>
  say(
    'warning',
    'names-changed',
    'Names changed to fit the unit; with --plain the original names stay in the input file only.',
    at(file),
    count,
  );

export const cannotSplit = (file: string, limit: number, needed: number): Diagnostic =>
  say(
    'error',
    'split',
    `The file cannot be split: a waypoint and its boat positions stay together, which takes --max-waypoints ${needed}, not ${limit}. Raise it.`,
    at(file),
  );

export const secondParserRefuses = (file: string, reason: string): Diagnostic =>
  say(
    'error',
    'second-parser',
    `Nothing is written: a second XML parser does not accept the file (${reason}). Save it again with another program.`,
    at(file),
  );

export const notInGeoJson = (file: string, count: number, what: string): Diagnostic =>
  say('note', 'geojson', `Routes and tracks left out of the GeoJSON: ${what}.`, at(file), count);
