import type { OptionDefinitions } from '../../shared/contract/index.ts';
import { forceOption } from '../files/index.ts';
import { tableOptions } from '../formats/table/index.ts';

/** Options of the plan command itself: inputs besides the lake, and outputs. */
export const planOptions = {
  log: {
    kind: 'list',
    isPath: true,
    isVariadic: true,
    flag: 'log',
    help: 'Logs of what you caught on all days on this lake, files or folders: CSV, plain lines such as "0715 A12 4 D 25m note", or GPX with waypoints such as "4f 25m D".',
  },
  report: {
    kind: 'text',
    isPath: true,
    flag: 'report',
    help: 'HTML page of the plan and of every spot, with figures; takes the options of enrich for them, such as --lures.',
  },
  page: {
    kind: 'text',
    isPath: true,
    flag: 'page',
    help: 'Printable HTML page of the plan: a card for each stop, and the lake.',
  },
  boat: {
    kind: 'text',
    isPath: true,
    flag: 'boat',
    help: 'HTML page for your phone in the boat: card, map, log, and a plan that is remade from what you catch, without a network.',
  },
  csv: { kind: 'text', isPath: true, flag: 'csv', help: 'CSV, one row per stop.' },
  ...tableOptions,
  gpx: {
    kind: 'text',
    isPath: true,
    flag: 'gpx',
    help: 'GPX: the stops as waypoints, and a route for each run over known water.',
  },
  routePoints: {
    kind: 'count',
    flag: 'route-points',
    min: 2,
    max: 10_000,
    default: 50,
    help: 'Most points of one route; a longer run becomes several.',
  },
  force: forceOption,
} as const satisfies OptionDefinitions;
