import type { Plugin } from '../../shared/contract/index.ts';
import { collectSettings, type OptionGroup } from '../../shared/engine/index.ts';
import { unitsOption } from '../../shared/retrieve/index.ts';
import { planOptions, reviewOptions } from '../day/index.ts';
import { readerOptions } from '../formats/csv/index.ts';
import { gpxMergeOptions, gpxOutputOptions } from '../formats/gpx/index.ts';
import {
  checkOptions,
  inputOptions,
  lakeOptions,
  outputOptions,
  prospectOptions,
  undoOptions,
  unitCommandOptions,
  viewOptions,
} from './core-options.ts';

export const CORE_OPTIONS = { units: unitsOption, ...inputOptions } as const;
/** Options shared by every command that reads logs. */
export const CORE_GROUP: OptionGroup = { owner: 'core', heading: 'Input:', options: CORE_OPTIONS };

const READER: OptionGroup = {
  owner: 'reader',
  heading: 'When a log does not say:',
  options: readerOptions,
};
const UNIT_LIMITS: OptionGroup = {
  owner: 'gpx',
  heading: 'Limits of the unit that the GPX goes to:',
  options: gpxOutputOptions,
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
    UNIT_LIMITS,
    { owner: 'merge', heading: 'Several waypoint files:', options: gpxMergeOptions },
  ],
  check: [{ owner: 'check', options: checkOptions }, READER],
  lake: [{ owner: 'lake', options: lakeOptions }, READER],
  prospect: [
    { owner: 'prospect', heading: 'Proposals and output:', options: prospectOptions },
    READER,
    UNIT_LIMITS,
  ],
  undo: [{ owner: 'undo', options: undoOptions }, UNIT_LIMITS],
  unit: [{ owner: 'unit-command', options: unitCommandOptions }, READER],
  view: [{ owner: 'view', options: viewOptions }, READER],
  plan: [{ owner: 'plan', heading: 'Log and output:', options: planOptions }, READER],
  review: [{ owner: 'review', options: reviewOptions }, READER],
} as const satisfies Readonly<Record<string, readonly OptionGroup[]>>;

/** Settings of a command, or of all commands together, with those of some plugins. */
export const settingsOf = (
  plugins: readonly Plugin[],
  groups: readonly OptionGroup[] = Object.values(COMMAND_GROUPS).flat(),
) =>
  collectSettings([
    CORE_GROUP,
    ...groups,
    ...plugins.map(({ name, options }): OptionGroup => ({ owner: name, options })),
  ]);
