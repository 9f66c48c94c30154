import { type OptionDefinitions, pathOption, pathsOption } from '../../shared/contract/index.ts';
import { forceOption } from '../files/index.ts';
import { tableOptions } from '../formats/table/index.ts';

export const planOptions = {
  log: pathsOption(
    'log',
    'Logs of what you caught on all days on this lake, files or folders: CSV, plain lines such as "0715 A12 4 D 25m note", or GPX with waypoints such as "4f 25m D".',
  ),
  report: pathOption(
    'report',
    'HTML page of the plan and of every spot, with figures; takes the options of enrich for them, such as --lures.',
  ),
  page: pathOption('page', 'Printable HTML page of the plan: a card for each stop, and the lake.'),
  boat: pathOption(
    'boat',
    'HTML page for your phone in the boat: card, map, log, and a plan that is remade from what you catch, without a network.',
  ),
  csv: pathOption('csv', 'CSV, one row per stop.'),
  ...tableOptions,
  gpx: pathOption('gpx', 'GPX: the stops as waypoints, and a route for each run over known water.'),
  routePoints: {
    kind: 'count',
    flag: 'route-points',
    min: 2,
    max: 10_000,
    default: 50,
    help: 'Maximum number of points in one route; a run that needs more is split into several routes.',
  },
  force: forceOption,
} as const satisfies OptionDefinitions;
