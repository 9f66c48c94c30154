import type { Diagnostic } from '../../contract/index.ts';
import { error, note, warning } from './make.ts';
import { quote } from './quote.ts';

export const longNames = (file: string, count: number, longest: string): Diagnostic =>
  note(
    'gpx/long-name',
    `Older units cut names longer than 10 characters, such as ${quote(longest)}. Add --max-name to choose the length here.`,
    { place: { file }, count },
  );

export const otherCharacters = (file: string, count: number, example: string): Diagnostic =>
  note(
    'gpx/name-characters',
    `Some units do not show characters outside plain ASCII, as in ${quote(example)}. Add --ascii if yours does not.`,
    { place: { file }, count },
  );

export const repeatedNames = (file: string, count: number, example: string): Diagnostic =>
  warning(
    'gpx/repeated-name',
    `Some units skip or overwrite waypoints that share a name, such as ${quote(example)}. Give each a different name.`,
    { place: { file }, count },
  );

export const emptyNames = (file: string, count: number): Diagnostic =>
  warning('gpx/no-name', 'Your unit will make up names for waypoints that have none. Name them.', {
    place: { file },
    count,
  });

export const longTexts = (file: string, count: number): Diagnostic =>
  note(
    'gpx/long-text',
    'Some units cut comments longer than 255 characters. Add --max-text to shorten what is added.',
    { place: { file }, count },
  );

export const manyWaypoints = (file: string, count: number): Diagnostic =>
  warning(
    'gpx/many-waypoints',
    `Many units keep 500 waypoints or fewer; this file has ${count}. Add --max-waypoints to split it.`,
    { place: { file } },
  );

export const manyTracks = (file: string, what: string, count: number, limit: number): Diagnostic =>
  note('gpx/many-tracks', `Some units keep ${limit} ${what} or fewer; this file has ${count}.`, {
    place: { file },
  });

export const longFile = (file: string, bytes: number): Diagnostic =>
  note(
    'gpx/long-file',
    `Some units read files of 4 MiB at most; this one has ${(bytes / 2 ** 20).toFixed(1)} MiB. Add --max-waypoints to split it.`,
    { place: { file } },
  );

export const textShortened = (file: string, count: number): Diagnostic =>
  warning('gpx/shortened', 'Comments were shortened to --max-text; the table has the whole text.', {
    place: { file },
    count,
  });

export const symbolsUnknown = (file: string, symbols: readonly string[], instead?: string): Diagnostic =>
  note(
    'gpx/symbol',
    `Your unit knows no symbol ${symbols.map(quote).join(' or ')}: boat positions get ${quote(instead ?? '')} instead. Give one of --symbols to --downslope-symbol and --upslope-symbol.`,
    { place: { file } },
  );

export const originalNamesNotKept = (file: string, count: number): Diagnostic =>
  warning(
    'gpx/names-changed',
    'Names were changed to fit the unit; with --plain only your input file keeps the original ones.',
    { place: { file }, count },
  );

export const cannotSplit = (file: string, limit: number, needed: number): Diagnostic =>
  error(
    'gpx/split',
    `The file cannot be split: a waypoint and its boat positions stay together, which takes --max-waypoints ${needed}, not ${limit}. Raise it.`,
    { place: { file } },
  );

export const secondParserRefuses = (file: string, reason: string): Diagnostic =>
  error(
    'gpx/second-parser',
    `Nothing is written: a second XML parser does not accept the file (${reason}). Save it again with another program.`,
    { place: { file } },
  );

export const notInGeoJson = (file: string, count: number, what: string): Diagnostic =>
  note('gpx/geojson', `Routes and tracks left out of the GeoJSON: ${what}.`, { place: { file }, count });
