import { type Plugin, Refusal } from '../../shared/contract/index.ts';
import {
  checkPluginShape,
  collectSettings,
  type Given,
  type LakeRequest,
  type LogOptions,
  localDay,
  type OptionGroup,
  type OptionInput,
  parseJson,
  type ResolvedRun,
  resolveRun,
  resolveSettings,
  type Setting,
} from '../../shared/engine/index.ts';
import { unitsOption } from '../../shared/retrieve/index.ts';
import { optionMessages as says, inputMessages as saysOfInput } from '../../shared/text/index.ts';
import { parseCsvBytes, readerOptions } from '../formats/csv/index.ts';
import { commentOptions, gpxMergeOptions, gpxOutputOptions } from '../formats/gpx/index.ts';
import { tableOptions } from '../formats/table/index.ts';
import { BUILT_IN, builtInWithout } from '../run/index.ts';
import { waypointOptions } from './waypoint-files.ts';

const GROUPS: readonly OptionGroup[] = [
  { owner: 'core', options: { units: unitsOption, ...waypointOptions } },
  { owner: 'reader', options: readerOptions },
  { owner: 'gpx', options: gpxOutputOptions },
  { owner: 'merge', options: gpxMergeOptions },
  { owner: 'output', options: { ...commentOptions, ...tableOptions } },
];

/** Resolves the options and plugins of a call. @throws Refusal that names options without dashes. */
export function resolveRequest(
  request: LakeRequest,
  uses: (plugin: Plugin) => boolean,
  groups: readonly OptionGroup[] = [],
): Promise<ResolvedRun> {
  const { plugins = [], without = [], options = {}, files = [] } = request;
  const own = plugins.map((plugin) => checkPluginShape(plugin, 'plugins'));
  const known = [...BUILT_IN, ...own];
  return resolveRun({
    plugins: [...builtInWithout(without), ...own].filter(uses),
    known,
    isUserPlugin: (plugin) => own.includes(plugin),
    groups: [...GROUPS, ...groups],
    given: (settings) => {
      const given = givenOf(options);
      const strange = given.find(({ flag }) => !settings.has(flag));
      if (strange !== undefined) throw new Refusal([says.unknown(undefined, strange.wording)], 2);
      return given;
    },
    today: request.today ?? localDay(new Date()),
    readFile: async (name, { format, flag = 'log' }) => {
      const { bytes } = inputNamed(files, name);
      return format === 'csv'
        ? parseCsvBytes(bytes, name, { what: `file of ${flag}` })
        : parseJson(bytes, name);
    },
  });
}

const givenOf = (options: Readonly<Record<string, OptionInput>>): Given[] =>
  Object.entries(options).map(([flag, value]) => ({
    flag,
    texts: Array.isArray(value) ? value.map(String) : [String(value)],
    wording: flag,
  }));

/** Returns the input with a name. @throws Refusal when there is none. */
export function inputNamed<T extends { readonly name: string }>(inputs: readonly T[], name: string): T {
  const found = inputs.find((input) => input.name === name);
  if (found === undefined) throw new Refusal([saysOfInput.missing({ file: name })]);
  return found;
}

/** Returns the options that may be set for a single log: reading options, and options of the log steps. */
export const settingsOfLogs = (
  steps: readonly { readonly plugin: Pick<Plugin, 'name' | 'options'> }[],
): ReadonlyMap<string, Setting> =>
  collectSettings([
    { owner: 'reader', options: readerOptions },
    ...steps.map(({ plugin }) => ({ owner: plugin.name, options: plugin.options })),
  ]);

/** Resolves the options given for single logs or files inside logs; they win over the options of the call. */
export function optionsOfLogs({ logs = {} }: LakeRequest, run: ResolvedRun): readonly LogOptions[] {
  const known = settingsOfLogs(run.pipeline.log);
  return Object.entries(logs).map(([pattern, own]) => ({
    pattern,
    values: resolveSettings(known, givenOf(own), run.units, ''),
  }));
}
