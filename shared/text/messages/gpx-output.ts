import { counted, messages, quote } from './make.ts';

export const gpxOutputMessages = {
  ...messages('gpx', 'note', {
    'long-name': (count: number, longest: string) => [
      `Older units cut names longer than 10 characters, such as ${quote(longest)}. Add --max-name to choose the length here.`,
      { count },
    ],
    'name-characters': (count: number, example: string) => [
      `Some units do not show characters outside plain ASCII, as in ${quote(example)}. Add --ascii if yours does not.`,
      { count },
    ],
    'long-text': counted(
      'Some units cut comments longer than 255 characters. Add --max-text to shorten what is added.',
    ),
    'many-tracks': (what: string, count: number, limit: number) =>
      `Some units keep ${limit} ${what} or fewer; this file has ${count}.`,
    'long-file': (bytes: number) =>
      `Some units read files of 4 MiB at most; this one has ${(bytes / 2 ** 20).toFixed(1)} MiB. Add --max-waypoints to split it.`,
    symbol: (symbols: readonly string[], instead?: string) =>
      `Your unit knows no symbol ${symbols.map(quote).join(' or ')}: boat positions get ${quote(instead ?? '')} instead. Give one of --symbols to --downslope-symbol and --upslope-symbol.`,
    geojson: (count: number, what: string) => [
      `Routes and tracks were left out of the GeoJSON: ${what}.`,
      { count },
    ],
  }),
  ...messages('gpx', 'warning', {
    'repeated-name': (count: number, example: string) => [
      `Some units skip or overwrite waypoints that share a name, such as ${quote(example)}. Give each a different name.`,
      { count },
    ],
    'no-name': counted('Your unit will make up names for waypoints that have none. Name them.'),
    'many-waypoints': (count: number) =>
      `Many units keep 500 waypoints or fewer; this file has ${count}. Add --max-waypoints to split it.`,
    shortened: counted('Comments were shortened to --max-text; the table has the whole text.'),
    'names-changed': counted(
      'Names were changed to fit the unit; with --plain only your input file keeps the original ones.',
    ),
  }),
  ...messages('gpx', 'error', {
    split: (limit: number, needed: number) =>
      `The file cannot be split: a waypoint and its boat positions stay together, which takes --max-waypoints ${needed}, not ${limit}. Raise it.`,
    'second-parser': (reason: string) =>
      `Nothing is written: a second XML parser does not accept the file (${reason}). Save it again with another program.`,
  }),
};
