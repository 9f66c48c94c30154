import {
  type AnyWaypointPlugin,
  type Diagnostic,
  FIELDS,
  type FieldDefinition,
  INTERNAL_FIELDS,
  type LogPlugin,
  type OptionDefinition,
  type OptionDefinitions,
  type PlanPlugin,
  type Plugin,
  type ReaderPlugin,
  type RefinePlugin,
  Refusal,
  type SurveyPlugin,
  type WriterPlugin,
} from '../contract/index.ts';
import {
  optionFlagTaken,
  planColumnClash,
  planCycle,
  planMissingField,
  planTwoProviders,
  pluginTwice,
  suffixTwice,
} from '../text/index.ts';
import { columnName } from './column-name.ts';

/** Columns of the table that are no fields. */
export const FIXED_COLUMNS = ['file', 'waypoint', 'lat', 'lon', 'notes'] as const;

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
  /** Those that provide fields and those that refine them, each after what it reads. */
  readonly waypoint: readonly Step<AnyWaypointPlugin>[];
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
  checkSuffixes(plugins);
  const step = <P extends Plugin>(plugin: P): Step<P> => ({
    plugin,
    options: { ...defaultsOf(plugin), ...optionsOf.get(plugin.name) },
    isOwn: isOwn(plugin),
  });
  const stage = <S extends Plugin['stage']>(name: S) =>
    plugins.filter((plugin): plugin is Extract<Plugin, { stage: S }> => plugin.stage === name);
  const waypoint = orderByFields([...stage('waypoint'), ...stage('refine')], known);
  const fields = publicFields(waypoint);
  checkColumns(fields);
  return {
    reader: ownFirst(stage('reader').map(step)),
    log: stage('log').map(step),
    survey: stage('survey').map(step),
    waypoint: waypoint.map((plugin) => ({ ...step(plugin), wanted: internalsRead(waypoint, stage('plan')) })),
    plan: stage('plan').map(step),
    writer: stage('writer').map(step),
    fields,
  };
}

const ownFirst = <P extends Plugin>(steps: readonly Step<P>[]): Step<P>[] => [
  ...steps.filter(({ isOwn }) => isOwn),
  ...steps.filter(({ isOwn }) => !isOwn),
];

/** The waypoint steps; pictures read fields that no table shows. */
export const waypointSteps = (
  { waypoint }: Pipeline,
  forPictures: boolean,
): readonly Step<AnyWaypointPlugin>[] =>
  forPictures ? waypoint.map((step) => ({ ...step, wanted: Object.keys(INTERNAL_FIELDS) })) : waypoint;

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

/** Every field name that a waypoint plugin sets first. */
function providedNames(plugin: AnyWaypointPlugin): string[] {
  if (plugin.stage === 'refine') return [];
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

/** A suffix of positions says which plugin they are of. */
function checkSuffixes(plugins: readonly Plugin[]): void {
  const owners = new Map<string, string>();
  for (const plugin of plugins) {
    for (const suffix of plugin.stage === 'writer' ? (plugin.suffixes ?? []) : []) {
      const owner = owners.get(suffix);
      if (owner !== undefined) throw new Refusal([suffixTwice(suffix, owner, plugin.name)], 2);
      owners.set(suffix, plugin.name);
    }
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

function orderByFields(plugins: readonly AnyWaypointPlugin[], known: readonly Plugin[]): AnyWaypointPlugin[] {
  const providers = providersOf(plugins);
  const refiners = plugins.filter((plugin) => plugin.stage === 'refine');
  const problems: Diagnostic[] = [];
  const needs = new Map<AnyWaypointPlugin, Set<AnyWaypointPlugin>>();
  for (const plugin of plugins) {
    const before = new Set<AnyWaypointPlugin>();
    const changes: readonly string[] = plugin.stage === 'refine' ? plugin.changes : [];
    const required: readonly string[] = [...plugin.requires, ...changes];
    for (const field of [...required, ...(plugin.uses ?? [])]) {
      const provider = providers.get(field);
      if (provider !== undefined && provider !== plugin) before.add(provider);
      else if (provider === undefined && (required.includes(field) || !isField(field)))
        problems.push(planMissingField(plugin.name, field, knownProvider(field, known)));
      // Of two refiners of a field the one given first comes first; whoever only reads it comes after both.
      const others = refiners.filter((other) => (other.changes as readonly string[]).includes(field));
      const own = others.indexOf(plugin as RefinePlugin);
      for (const other of own >= 0 ? others.slice(0, own) : others) before.add(other);
    }
    needs.set(plugin, before);
  }
  if (problems.length > 0) throw new Refusal(problems, 2);
  return sortByNeeds(plugins, needs);
}

const isField = (name: string): boolean =>
  Object.hasOwn(FIELDS, name) || Object.hasOwn(INTERNAL_FIELDS, name);

/** @throws Refusal (status 2) when two fields would be one column of the table. */
function checkColumns(fields: Pipeline['fields']): void {
  for (const units of ['ft', 'm'] as const) {
    const taken = new Map<string, string>(FIXED_COLUMNS.map((name) => [name, name]));
    for (const [name, definition] of fields) {
      const column = columnName(name, definition, units);
      const other = taken.get(column);
      if (other !== undefined) throw new Refusal([planColumnClash(name, other, column)], 2);
      taken.set(column, name);
    }
  }
}

function providersOf(plugins: readonly AnyWaypointPlugin[]): Map<string, AnyWaypointPlugin> {
  const providers = new Map<string, AnyWaypointPlugin>();
  for (const plugin of plugins) {
    for (const field of providedNames(plugin)) {
      const other = providers.get(field);
      if (other !== undefined) throw new Refusal([planTwoProviders(field, other.name, plugin.name)], 2);
      providers.set(field, plugin);
    }
  }
  return providers;
}

const knownProvider = (field: string, known: readonly Plugin[]): string | undefined =>
  known.find((plugin) => plugin.stage === 'waypoint' && providedNames(plugin).includes(field))?.name;

function sortByNeeds(
  plugins: readonly AnyWaypointPlugin[],
  needs: ReadonlyMap<AnyWaypointPlugin, ReadonlySet<AnyWaypointPlugin>>,
): AnyWaypointPlugin[] {
  const sorted: AnyWaypointPlugin[] = [];
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
function publicFields(all: readonly AnyWaypointPlugin[]): [string, FieldDefinition][] {
  const plugins = all.filter((plugin) => plugin.stage === 'waypoint');
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
function internalsRead(waypoint: readonly AnyWaypointPlugin[], plan: readonly PlanPlugin[]): string[] {
  const read = new Set<string>([
    ...waypoint.flatMap(({ requires, uses = [] }) => [...requires, ...uses]),
    ...plan.flatMap(({ requires }) => requires),
  ]);
  return Object.keys(INTERNAL_FIELDS).filter((name) => read.has(name));
}
