import { type OptionDefinitions, pathOption, pathsOption } from '../../shared/contract/index.ts';
import { dayPlanOptions } from '../../shared/day/index.ts';
import { forceOption } from '../files/index.ts';
import { tableOptions } from '../formats/table/index.ts';

export const reviewOptions = {
  lake: pathsOption(
    'lake',
    'Enriched GPX of the lake, files or a folder. Default: the enriched files next to the first log.',
  ),
  day: {
    kind: 'text',
    flag: 'day',
    help: 'Day to review, such as 5/18/2026 or 2026-05-18; default the last one logged.',
  },
  csv: pathOption('csv', 'CSV, one row per kind of stop and day.'),
  ...tableOptions,
  marks: dayPlanOptions.marks,
  confidence: dayPlanOptions.confidence,
  fish: dayPlanOptions.fish,
  recovery: dayPlanOptions.recovery,
  rest: dayPlanOptions.rest,
  cast: dayPlanOptions.cast,
  sizes: dayPlanOptions.sizes,
  force: forceOption,
} as const satisfies OptionDefinitions;
