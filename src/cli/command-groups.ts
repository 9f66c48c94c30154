import type { OptionGroup } from '../../shared/engine/index.ts';
import { planOptions, reviewOptions } from '../day/index.ts';
import { readerOptions } from '../formats/csv/index.ts';
import { gpxMergeOptions, gpxOutputOptions } from '../formats/gpx/index.ts';
import {
  checkOptions,
  lakeOptions,
  outputOptions,
  prospectOptions,
  undoOptions,
  unitCommandOptions,
  viewOptions,
} from './core-options.ts';

const READER: OptionGroup = {
  owner: 'reader',
  heading: 'When a log does not say:',
  options: readerOptions,
};

/**
 * Option groups of each command that reads a configuration, in addition to those of the core and the plugins.
 *
 * One configuration may serve all commands, so keys of other commands are ignored.
 */
export const COMMAND_GROUPS = {
  enrich: [
    { owner: 'output', heading: 'Output:', options: outputOptions },
    READER,
    { owner: 'gpx', heading: 'Limits of the unit that the GPX goes to:', options: gpxOutputOptions },
    { owner: 'merge', heading: 'Several waypoint files:', options: gpxMergeOptions },
  ],
  check: [{ owner: 'check', options: checkOptions }, READER],
  lake: [{ owner: 'lake', options: lakeOptions }, READER],
  prospect: [
    { owner: 'prospect', heading: 'Proposals and output:', options: prospectOptions },
    READER,
    { owner: 'gpx', heading: 'Limits of the unit that the GPX goes to:', options: gpxOutputOptions },
  ],
  undo: [
    { owner: 'undo', options: undoOptions },
    { owner: 'gpx', heading: 'Limits of the unit that the GPX goes to:', options: gpxOutputOptions },
  ],
  unit: [{ owner: 'unit-command', options: unitCommandOptions }, READER],
  view: [{ owner: 'view', options: viewOptions }, READER],
  plan: [{ owner: 'plan', heading: 'Log and output:', options: planOptions }, READER],
  review: [{ owner: 'review', options: reviewOptions }, READER],
} as const satisfies Readonly<Record<string, readonly OptionGroup[]>>;
