import { counted, messages, quote } from './make.ts';

const routesAndTracks = (count: number): string =>
  count === 1 ? '1 route or track' : `${count} routes and tracks`;

export const gpxOutputMessages = {
  ...messages('gpx', 'note', {
    'long-name': (count: number, longest: string) => [
      `Older units cut names longer than 10 characters, such as ${quote(longest)}. If yours is one of them, add --max-name 10.`,
      { count },
    ],
    'name-characters': (count: number, example: string) => [
      `Some units do not show characters outside plain ASCII, as in ${quote(example)}. If yours is one of them, add --ascii.`,
      { count },
    ],
    'long-text': counted(
      'Some units cut comments longer than 255 characters. If yours is one of them, add --max-text 255, which shortens only what is added.',
    ),
    'many-tracks': (what: string, count: number, limit: number) =>
      `Some units keep only ${limit} ${what}, and this file has ${count}. Delete the ${what} that you do not need.`,
    /** @param most Number of waypoints of a part below the limit; absent if routes and tracks are too large. */
    'long-file': (bytes: number, most?: number) =>
      `Some units cannot read files larger than 4 MiB, and this file is ${(Math.ceil((10 * bytes) / 2 ** 20) / 10).toFixed(1)} MiB. If yours is one of them, ${most === undefined ? 'delete the routes and tracks that you do not need' : `add --max-waypoints ${most} to split the file`}.`,
    symbol: (symbols: readonly string[], instead: string) =>
      `Boat positions get the symbol ${quote(instead)}, because ${symbols.map(quote).join(' and ')} ${symbols.length === 1 ? 'is' : 'are'} not among the symbols of your unit, as given by --symbols or --unit. Choose ${symbols.length === 1 ? 'another with --downslope-symbol or' : 'others with --downslope-symbol and'} --upslope-symbol.`,
    'geojson prefix': (count: number) => [
      `The GeoJSON leaves out ${routesAndTracks(count)} of this file, whose elements have a namespace prefix. Save the file with another program if you need ${count === 1 ? 'it' : 'them'}.`,
      { count },
    ],
    /** @param most Largest size that is converted, MiB. */
    'geojson size': (count: number, most: number) => [
      `The GeoJSON leaves out ${routesAndTracks(count)} of this file, because ${count === 1 ? 'it is' : 'each is'} larger than ${most} MiB. Split ${count === 1 ? 'it' : 'them'} if you need ${count === 1 ? 'it' : 'them'} there.`,
      { count },
    ],
  }),
  ...messages('gpx', 'warning', {
    'repeated-name': (count: number, example: string) => [
      `Some units skip or overwrite waypoints that share a name, such as ${quote(example)}. Give each waypoint a name of its own.`,
      { count },
    ],
    'no-name': counted(
      'Your unit will make up names for waypoints without a name. Name them in the input.',
      'Your unit will make up a name for a waypoint without a name. Name it in the input.',
    ),
    'many-waypoints': (count: number) =>
      `Many units keep only 500 waypoints, and this file has ${count}. If yours is one of them, add --max-waypoints 500 to split the file.`,
    shortened: counted(
      'Comments were shortened to --max-text. The table (--table) has all their values.',
      'A comment was shortened to --max-text. The table (--table) has all its values.',
    ),
    'names-changed': counted(
      'Names were changed to fit your unit. With --plain, only your input file keeps the original names.',
      'A name was changed to fit your unit. With --plain, only your input file keeps the original name.',
    ),
  }),
  ...messages('gpx', 'error', {
    split: (limit: number, needed: number) =>
      `The file cannot be split into parts of ${limit} waypoints: one waypoint and its boat positions, which stay together, are ${needed}. Give --max-waypoints ${needed} or more.`,
    'second-parser': (reason: string) =>
      `Nothing is written: a second XML parser does not accept the file (${reason}). Save the file again with another program.`,
  }),
};
