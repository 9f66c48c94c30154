import { type Plugin, Refusal } from '../../shared/contract/index.ts';
import {
  checkPluginShape,
  type Given,
  type InputFile,
  type LakeRequest,
  localDay,
  type OptionGroup,
  type OptionInput,
  parseJson,
  type ResolvedRun,
  resolveRun,
  resolveSettings,
} from '../../shared/engine/index.ts';
import { unitsOption } from '../../shared/retrieve/index.ts';
import { inputMissing, optionUnknown, pluginUnknown } from '../../shared/text/index.ts';
import { parseCsvBytes, type ReaderOptions, readerOptions, readerSettings } from '../formats/csv/index.ts';
import { commentOptions, gpxMergeOptions, gpxOutputOptions } from '../formats/gpx/index.ts';
import { tableOptions } from '../formats/table/index.ts';
import { BUILT_IN } from '../run/index.ts';

/** Options of waypoint files. The commands have them among their input options. */
export const waypointOptions = {
  repair: {
    kind: 'switch',
    flag: 'repair',
    default: false,
    help: 'Read slightly broken waypoint files: mend a bare & and control characters, keep what is whole of a file that was cut short. Every repair is listed.',
  },
} as const;

const GROUPS: readonly OptionGroup[] = [
  { owner: 'core', options: { units: unitsOption, ...waypointOptions } },
  { owner: 'reader', options: readerOptions },
  { owner: 'gpx', options: gpxOutputOptions },
  { owner: 'merge', options: gpxMergeOptions },
  { owner: 'output', options: { ...commentOptions, ...tableOptions } },
];

/** Options and plugins of a call. @throws Refusal like the command, with option names without dashes. */
export function resolveRequest(
  request: LakeRequest,
  uses: (plugin: Plugin) => boolean,
  groups: readonly OptionGroup[] = [],
): Promise<ResolvedRun> {
  const { plugins = [], without = [], options = {}, files = [] } = request;
  const own = plugins.map((plugin) => checkPluginShape(plugin, 'plugins'));
  const names = BUILT_IN.map(({ name }) => name);
  const unknown = without.find((name) => !names.includes(name));
  if (unknown !== undefined) throw new Refusal([pluginUnknown(unknown, names.join(', '))], 2);
  const known = [...BUILT_IN, ...own];
  return resolveRun({
    plugins: [...BUILT_IN.filter(({ name }) => !without.includes(name)), ...own].filter(uses),
    known,
    isOwn: (plugin) => own.includes(plugin),
    groups: [...GROUPS, ...groups],
    given: (settings) => {
      const given = givenOf(options);
      const strange = given.find(({ flag }) => !settings.has(flag));
      if (strange !== undefined) throw new Refusal([optionUnknown(strange.wording)], 2);
      return given;
    },
    today: request.today ?? localDay(new Date()),
    readFile: (name, { format }) => readValues(fileNamed(files, name), format),
  });
}

const givenOf = (options: Readonly<Record<string, OptionInput>>): Given[] =>
  Object.entries(options).map(([flag, value]) => ({
    flag,
    texts: Array.isArray(value) ? value.map(String) : [String(value)],
    wording: flag,
  }));

function fileNamed(files: readonly InputFile[], name: string): InputFile {
  const found = files.find((file) => file.name === name);
  if (found === undefined) throw new Refusal([inputMissing(name)]);
  return found;
}

const readValues = async ({ name, bytes }: InputFile, format: 'csv' | 'json') =>
  format === 'csv' ? parseCsvBytes(bytes, name) : parseJson(bytes, name);

/** Reader options of one log; its own settings win over those for all logs. */
export function optionsOfLog({ logs = {} }: LakeRequest, run: ResolvedRun, log: string): ReaderOptions {
  const own = resolveSettings(readerSettings, givenOf(logs[log] ?? {}), run.units, '').get('reader');
  return { ...run.values('reader', readerOptions), ...own } as ReaderOptions;
}
