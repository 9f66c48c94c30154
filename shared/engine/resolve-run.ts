import {
  type CsvFile,
  type DisplayUnits,
  defaultsOf,
  type FileOption,
  type JsonFile,
  type OptionDefinitions,
  type OptionValues,
  type Plugin,
  Refusal,
} from '../contract/index.ts';
import { dateOption, unitsOption } from '../retrieve/index.ts';
import { inputMessages as says } from '../text/index.ts';
import { parseOptionValue } from './parse-value.ts';
import { type Pipeline, planPipeline } from './plan-pipeline.ts';
import {
  collectSettings,
  type Given,
  type OptionGroup,
  type ResolvedValues,
  resolveSettings,
  type Setting,
} from './settings.ts';

export interface RunRequest {
  readonly plugins: readonly Plugin[];
  /** Plugins that messages may name as providers of a missing field. */
  readonly known: readonly Plugin[];
  readonly isUserPlugin: (plugin: Plugin) => boolean;
  /** Option groups besides the groups of the plugins. */
  readonly groups: readonly OptionGroup[];
  readonly given: (settings: ReadonlyMap<string, Setting>) => readonly Given[];
  /** Date used for `today`, `YYYY-MM-DD`. */
  readonly today: string;
  /** Reads the file of a `file` option. @throws Refusal when it cannot be used. */
  readonly readFile: (path: string, definition: FileOption) => Promise<CsvFile | JsonFile>;
}

/** Options and plugins of a run, with all values known and the order planned. */
export interface ResolvedRun {
  readonly units: DisplayUnits;
  /** Day of the plan, `YYYY-MM-DD`. */
  readonly date: string;
  readonly pipeline: Pipeline;
  readonly given: readonly Given[];
  readonly files: readonly string[];
  values<O extends OptionDefinitions>(owner: string, options: O): OptionValues<O>;
}

/**
 * Resolves plugins and options, so that a problem with them is reported before any input is read.
 *
 * @throws Refusal with status 2, or with status 1 when the file named by an option cannot be used.
 */
export async function resolveRun(request: RunRequest): Promise<ResolvedRun> {
  const { plugins, known, isUserPlugin, today } = request;
  planPipeline(plugins, new Map(), known);
  const ofPlugins = plugins.map(({ name, options }): OptionGroup => ({ owner: name, options }));
  const groups = [...request.groups, ...ofPlugins];
  const settings = collectSettings(groups);
  const given = request.given(settings);
  const units = lastValue(given, 'units', unitsOption) ?? unitsOption.default;
  const day = lastValue(given, 'date', dateOption) ?? today;
  const paths = resolveSettings(settings, given, units as DisplayUnits, today);
  const { resolved, files } = await readFiles(paths, groups, request.readFile);
  return {
    units: units as DisplayUnits,
    date: day === 'today' ? today : day,
    pipeline: planPipeline(plugins, resolved, known, isUserPlugin),
    given,
    files,
    values: <O extends OptionDefinitions>(owner: string, options: O): OptionValues<O> =>
      ({ ...defaultsOf(options), ...resolved.get(owner) }) as OptionValues<O>,
  };
}

function lastValue(
  given: readonly Given[],
  flag: string,
  definition: typeof unitsOption | typeof dateOption,
): string | undefined {
  const last = given.filter((item) => item.flag === flag).at(-1);
  if (last === undefined) return undefined;
  return parseOptionValue(definition, last.wording, last.texts.at(-1) ?? '', 'm') as string;
}

/** Replaces the path of each `file` option with the content of the file. Each file is read only once. */
async function readFiles(
  values: ResolvedValues,
  groups: readonly OptionGroup[],
  readFile: RunRequest['readFile'],
): Promise<{ resolved: ResolvedValues; files: readonly string[] }> {
  const contents = new Map<string, CsvFile | JsonFile>();
  const resolved = new Map<string, Record<string, unknown>>();
  for (const [owner, options] of values) {
    const definitions = groups.find((group) => group.owner === owner)?.options ?? {};
    const filled: Record<string, unknown> = { ...options };
    resolved.set(owner, filled);
    for (const [name, value] of Object.entries(options)) {
      const definition = definitions[name];
      if (definition?.kind !== 'file' || typeof value !== 'string') continue;
      filled[name] = contents.get(value) ?? (await readFile(value, definition));
      contents.set(value, filled[name] as CsvFile | JsonFile);
      const problems = definition.check?.(filled[name] as never);
      if (problems?.some(({ severity }) => severity === 'error')) throw new Refusal(problems);
    }
  }
  return { resolved, files: [...contents.keys()] };
}

/** Returns the local date, `YYYY-MM-DD`, which is what a user means by today. */
export function localDay(now: Date): string {
  const pad = (value: number): string => String(value).padStart(2, '0');
  return `${now.getFullYear()}-${pad(now.getMonth() + 1)}-${pad(now.getDate())}`;
}

/** Parses a JSON file. @throws Refusal when it is not valid JSON. */
export function parseJson(bytes: Uint8Array, file: string): JsonFile {
  try {
    return { file, value: JSON.parse(new TextDecoder().decode(bytes)) };
  } catch (cause) {
    throw new Refusal([says.json({ file }, (cause as Error).message)]);
  }
}
