import type { Diagnostic } from '../../shared/contract/index.ts';
import {
  type ComputedRuns,
  type DayPlanOptions,
  type FishingSpot,
  lakeSpots,
  planDay,
  RunNetworks,
  readNotes,
  type Wish,
  withoutWishes,
} from '../../shared/day/index.ts';
import { localFrame } from '../../shared/geo/index.ts';
import { formatClock, parseClock } from '../../shared/text/index.ts';
import { type BoatData, fromText } from './boat-data.ts';
import { type Entry, fishedStops, logTable, wishesOf } from './entries.ts';
import { unpack, unpackText } from './pack.ts';

/**
 * Maximum number of search rounds on the phone, few enough for an answer within a second on a slow phone.
 * `commandText` tells the command to use the same number.
 */
const ROUNDS = 200;

/** Date, time `now`, s of the day, and place `at`, deg, from which the rest of the day is planned. */
export interface ReplanStart {
  readonly date: string;
  readonly now: number;
  readonly at: { readonly lat: number; readonly lon: number };
}

/** The planner of a page. The known water is unpacked only once, and computed runs are kept. */
export class BoatPlanner {
  readonly spots: readonly FishingSpot[];
  private readonly data: BoatData;
  private readonly networks: RunNetworks | undefined;
  /** Wishes given with the plan, by mark. */
  private readonly given: readonly (readonly [mark: string, wish: Wish])[];

  constructor(data: BoatData) {
    this.data = data;
    this.networks = unpackNetworks(data);
    const { waypoints, options } = data;
    this.spots = lakeSpots(waypoints, options, () => undefined).spots;
    this.given = [...readNotes(waypoints, options, () => undefined)].flatMap(([mark, { wish }]) =>
      wish === undefined ? [] : [[mark, wish]],
    );
  }

  spot(mark: string): FishingSpot | undefined {
    return this.spots.find(({ marks }) => marks.includes(mark));
  }

  /**
   * Plans the rest of the day from the entries, or the whole day if the day has not begun.
   *
   * @returns The plan, undefined when the day cannot be planned; `problems`, the warnings and errors; and
   * `command`, from `commandText`.
   */
  replan(entries: readonly Entry[], replanStart: ReplanStart) {
    const options = this.optionsFor(entries, replanStart);
    const problems: string[] = [];
    const report = ({ severity, message }: Diagnostic): void => {
      if (severity !== 'note') problems.push(message);
    };
    const talk = { report, progress: () => undefined };
    const { waypoints } = this.data;
    const plan = planDay({ waypoints, survey: NO_SURVEY, networks: this.networks }, options, talk);
    return { plan, problems, command: commandText(options) };
  }

  private optionsFor(entries: readonly Entry[], { date, now, at }: ReplanStart): DayPlanOptions {
    const { options } = this.data;
    const isUnderWay = now > (parseClock(options.start) ?? 0) || entries.some(({ kind }) => kind !== 'wish');
    const tapped = [...wishesOf(entries)].reverse().flatMap(([spot, wish]) =>
      // All marks of a skipped spot are skipped. With a mark left, the spot would stay under that mark's name.
      (this.spot(spot)?.marks ?? [spot]).map((mark) => ({ mark, wish, isName: mark === spot })),
    );
    const kept = this.given.filter(([given]) => tapped.every(({ mark }) => mark !== given));
    const wished = (kind: Wish): string[] => [
      ...tapped
        .filter(({ wish, isName }) => wish === kind && (isName || kind === 'skip'))
        .map(({ mark }) => mark),
      ...kept.filter(([, wish]) => wish === kind).map(([mark]) => mark),
    ];
    const log = logTable(fishedStops(entries, date), now);
    return {
      ...options,
      date,
      iterations: Math.min(options.iterations, ROUNDS),
      must: wished('must'),
      skip: wished('skip'),
      first: wished('first')[0],
      last: wished('last')[0],
      marks: options.marks && withoutWishes(options.marks),
      now: isUnderWay ? formatClock(now) : undefined,
      at: isUnderWay ? `${at.lat.toFixed(6)},${at.lon.toFixed(6)}` : options.at,
      log: { ...log, rows: [...(options.log?.rows ?? []), ...log.rows] },
    };
  }
}

const NONE = new Float64Array(0);
const NO_SURVEY = { count: 0, lat: NONE, lon: NONE, shallowest: new Float32Array(0) };

function unpackNetworks({ water }: BoatData): RunNetworks | undefined {
  if (water === undefined) return undefined;
  const { lat, lon, state, runs, ...rest } = water;
  const given = fromText<ComputedRuns[]>(unpackText(runs));
  return new RunNetworks({ ...rest, frame: localFrame(lat, lon), state: unpack(state) }, given);
}

const quoted = (text: string): string =>
  /^[\w.,:@+-]+$/.test(text) ? text : `"${text.replace(/["\\$`]/g, '\\$&')}"`;

/**
 * Writes the options that, together with `--log` and the exported log, make the same plan when they are added
 * to the command that made the page, unless a wish in that command was withdrawn on the phone.
 */
function commandText({ date, now, at, must, skip, last, iterations }: DayPlanOptions): string {
  const list = (flag: string, values: readonly string[] | undefined): string[] =>
    (values ?? []).flatMap((value) => [flag, quoted(value)]);
  return [
    ...['--date', date],
    ...(now === undefined ? [] : ['--now', now, '--at', at ?? '']),
    ...list('--must', must),
    ...list('--skip', skip),
    ...(last === undefined ? [] : ['--last', quoted(last)]),
    ...['--iterations', String(iterations)],
  ].join(' ');
}
