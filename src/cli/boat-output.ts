import { basename } from 'node:path';
import { defaultsOf, type OptionValues, Refusal } from '../../shared/contract/index.ts';
import { type DayPlanOptions, dayPlanOptions } from '../../shared/day/index.ts';
import type { castOption, zonesOption } from '../../shared/retrieve/index.ts';
import { optionMessages as says } from '../../shared/text/index.ts';
import { type BoatInput, makeBoatData, renderBoatPage } from '../boat/index.ts';
import { ENRICHED } from '../files/index.ts';
import type { ReportInput } from '../page/index.ts';
import type { Enrichment } from './enrichment.ts';

/** Makes a boat page. @throws Refusal when the soundings are too far apart for one map. */
export function boatPage(input: BoatInput): string {
  try {
    return renderBoatPage(makeBoatData(input));
  } catch (cause) {
    if (cause instanceof RangeError) throw new Refusal([says['command-line no-boat-page'](undefined)]);
    throw cause;
  }
}

export const lakeTitle = (files: readonly string[]): string =>
  files
    .map((file) =>
      basename(file)
        .replace(ENRICHED, '')
        .replace(/\.gpx$/i, ''),
    )
    .join(', ');

export function spotsBoatPage(
  { title, date, units, waypoints }: ReportInput,
  { command, result: { survey, lake } }: Enrichment,
): string {
  const step = command.pipeline.waypoint.find(({ plugin }) => plugin.name === 'cast');
  const { cast, zones } = (step?.options ?? {}) as Partial<
    OptionValues<{ cast: typeof castOption; zones: typeof zonesOption }>
  >;
  const options = { ...defaultsOf(dayPlanOptions), date, ...(step && { cast, zones }) } as DayPlanOptions;
  const progress = (share: number): void => command.io.progress('Modeling the lake', share);
  return boatPage({ title, date, units, waypoints, options, survey, grid: lake?.grid, progress });
}
