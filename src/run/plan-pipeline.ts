import {
  type Diagnostic,
  FIELDS,
  type FieldDefinition,
  type FieldName,
  INTERNAL_FIELDS,
  type LogPlugin,
  type OptionDefinition,
  type OptionDefinitions,
  type PlanPlugin,
  type Plugin,
  type ReaderPlugin,
  Refusal,
  type SurveyPlugin,
  type WaypointPlugin,
  type WriterPlugin,
} from '../../shared/contract/index.ts';
import {
  optionFlagTaken,
  planCycle,
  planMissingField,
  planTwoProviders,
  pluginTwice,
} from '../../shared/text/index.ts';

/** Option values of one plugin by option name; complete, in SI. */
export type PluginOptions = Readonly<Record<string, unknown>>;

/** One step of the pipeline: a plugin with its options. */
export interface Step<P extends Plugin = Plugin> {
  readonly plugin: P;
  readonly options: PluginOptions;
  /** A plugin of the user: watched, and given copies. */
  readonly isOwn?: boolean;
  /** Fields for plugins only that some plugin reads. */
  readonly wanted?: readonly string[];
}

/** What will run, in order; made before a byte is read. */
export interface Pipeline {
  /** The user's own first. */
  readonly reader: readonly Step<ReaderPlugin>[];
  readonly log: readonly Step<LogPlugin>[];
  readonly survey: readonly Step<SurveyPlugin>[];
  readonly waypoint: readonly Step<WaypointPlugin>[];
  readonly plan: readonly Step<PlanPlugin>[];
  readonly writer: readonly Step<WriterPlugin>[];
  /** Fields that the table and the extension elements can hold, in order. */
  readonly fields: readonly (readonly [name: string, definition: FieldDefinition])[];
}

/**
 * The order of plugins and what they give, checked before anything is read.
 *
 * Readers are asked in the order given, the user's own first; log and survey plugins keep the order given; waypoint plugins are ordered so that each comes
 * after the providers of what it requires or uses, ties by the order given.
 *
 * @param optionsOf Values of a plugin's options by plugin name; missing ones take their default.
 * @param known Plugins to name when a field has no provider.
 * @param isOwn True for a plugin of the user.
 * @throws Refusal (status 2) for twice the same name or flag, a field without or with two providers, a circle.
 */
export function planPipeline(
  plugins: readonly Plugin[],
  optionsOf: ReadonlyMap<string, PluginOptions> = new Map(),
  known: readonly Plugin[] = plugins,
  isOwn: (plugin: Plugin) => boolean = () => false,
): Pipeline {
  checkNames(plugins);
  checkFlags(plugins);
  const step = <P extends Plugin>(plugin: P): Step<P> => ({
    plugin,
    options: { ...defaultsOf(plugin), ...optionsOf.get(plugin.name) },
    isOwn: isOwn(plugin),
  });
  const stage = <S extends Plugin['stage']>(name: S) =>
    plugins.filter((plugin): plugin is Extract<Plugin, { stage: S }> => plugin.stage === name);
  const waypoint = orderByFields(stage('waypoint'), known);
  return {
    reader: ownFirst(stage('reader').map(step)),
    log: stage('log').map(step),
    survey: stage('survey').map(step),
    waypoint: waypoint.map((plugin) => ({ ...step(plugin), wanted: internalsRead(waypoint, stage('plan')) })),
    plan: stage('plan').map(step),
    writer: stage('writer').map(step),
    fields: publicFields(waypoint),
  };
}

const ownFirst = <P extends Plugin>(steps: readonly Step<P>[]): Step<P>[] => [
  ...steps.filter(({ isOwn }) => isOwn),
  ...steps.filter(({ isOwn }) => !isOwn),
];

/** Default value of every option of a plugin that has one. */
export function defaultsOf(plugin: { readonly options: OptionDefinitions }): PluginOptions {
  const entries = Object.entries<OptionDefinition>(plugin.options);
  return Object.fromEntries(
    entries.flatMap(([name, definition]) =>
      definition.default === undefined ? [] : [[name, definition.default]],
    ),
  );
}

/** Name of a plugin's own field as everybody else sees it. */
export const ownFieldName = (plugin: string, field: string): string => `${plugin}.${field}`;

/** Every field name that a waypoint plugin may set. */
function providedNames(plugin: WaypointPlugin): string[] {
  const own = Object.keys(plugin.fields ?? {}).map((field) => ownFieldName(plugin.name, field));
  return [...plugin.provides, ...own];
}

function checkNames(plugins: readonly Plugin[]): void {
  const seen = new Set<string>();
  for (const { name } of plugins) {
    if (seen.has(name)) throw new Refusal([pluginTwice(name)], 2);
    seen.add(name);
  }
}

/** One flag may serve several plugins only when it is the very same definition. */
function checkFlags(plugins: readonly Plugin[]): void {
  const owners = new Map<string, { plugin: string; definition: OptionDefinition }>();
  for (const plugin of plugins) {
    for (const definition of Object.values(plugin.options as Record<string, OptionDefinition>)) {
      if (definition.flag === undefined) continue;
      const owner = owners.get(definition.flag);
      if (owner === undefined) owners.set(definition.flag, { plugin: plugin.name, definition });
      else if (owner.definition !== definition)
        throw new Refusal([optionFlagTaken(definition.flag, owner.plugin, plugin.name)], 2);
    }
  }
}

function orderByFields(plugins: readonly WaypointPlugin[], known: readonly Plugin[]): WaypointPlugin[] {
  const providers = providersOf(plugins);
  const problems: Diagnostic[] = [];
  const needs = new Map<WaypointPlugin, Set<WaypointPlugin>>();
  for (const plugin of plugins) {
    const before = new Set<WaypointPlugin>();
    for (const field of [...plugin.requires, ...(plugin.uses ?? [])]) {
      const provider = providers.get(field);
      if (provider !== undefined && provider !== plugin) before.add(provider);
      else if (provider === undefined && plugin.requires.includes(field))
        problems.push(planMissingField(plugin.name, field, knownProvider(field, known)));
    }
    needs.set(plugin, before);
  }
  if (problems.length > 0) throw new Refusal(problems, 2);
  return sortByNeeds(plugins, needs);
}

function providersOf(plugins: readonly WaypointPlugin[]): Map<string, WaypointPlugin> {
  const providers = new Map<string, WaypointPlugin>();
  for (const plugin of plugins) {
    for (const field of providedNames(plugin)) {
      const other = providers.get(field);
      if (other !== undefined) throw new Refusal([planTwoProviders(field, other.name, plugin.name)], 2);
      providers.set(field, plugin);
    }
  }
  return providers;
}

const knownProvider = (field: FieldName, known: readonly Plugin[]): string | undefined =>
  known.find((plugin) => plugin.stage === 'waypoint' && providedNames(plugin).includes(field))?.name;

function sortByNeeds(
  plugins: readonly WaypointPlugin[],
  needs: ReadonlyMap<WaypointPlugin, ReadonlySet<WaypointPlugin>>,
): WaypointPlugin[] {
  const sorted: WaypointPlugin[] = [];
  let left = [...plugins];
  while (left.length > 0) {
    const next = left.find((plugin) =>
      [...(needs.get(plugin) ?? [])].every((before) => sorted.includes(before)),
    );
    if (next === undefined) throw new Refusal([planCycle(left.map(({ name }) => name))], 2);
    sorted.push(next);
    left = left.filter((plugin) => plugin !== next);
  }
  return sorted;
}

/** Built-in fields in the order of the registry, then own fields in the order of the plugins. */
function publicFields(plugins: readonly WaypointPlugin[]): [string, FieldDefinition][] {
  const provided = new Set<string>(plugins.flatMap((plugin) => plugin.provides));
  const builtIn = Object.entries<FieldDefinition>(FIELDS).filter(([name]) => provided.has(name));
  const own = plugins.flatMap((plugin) =>
    Object.entries<FieldDefinition>(plugin.fields ?? {}).map(
      ([field, definition]): [string, FieldDefinition] => [ownFieldName(plugin.name, field), definition],
    ),
  );
  return [...builtIn, ...own];
}

/** Fields without a column that some plugin reads. */
function internalsRead(waypoint: readonly WaypointPlugin[], plan: readonly PlanPlugin[]): string[] {
  const read = new Set<string>([
    ...waypoint.flatMap(({ requires, uses = [] }) => [...requires, ...uses]),
    ...plan.flatMap(({ requires }) => requires),
  ]);
  return Object.keys(INTERNAL_FIELDS).filter((name) => read.has(name));
}
