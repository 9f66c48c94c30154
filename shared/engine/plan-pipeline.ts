import { partition } from 'es-toolkit/array';
import {
  type AnyWaypointPlugin,
  type Diagnostic,
  type DisplayUnits,
  defaultsOf,
  FIELDS,
  type FieldDefinition,
  INTERNAL_FIELDS,
  type LogPlugin,
  type OptionDefinition,
  type PlanPlugin,
  type Plugin,
  type ReaderPlugin,
  type RefinePlugin,
  Refusal,
  type SurveyPlugin,
  type WaypointPlugin,
  type WriterPlugin,
} from '../contract/index.ts';
import { pluginMessages as says, optionMessages as saysOfOption } from '../text/index.ts';

/** Columns of the table that are not fields. */
export const FIXED_COLUMNS = ['file', 'waypoint', 'lat', 'lon', 'notes'] as const;

/** Parsed option values of one plugin, by option name. */
export type PluginOptions = Readonly<Record<string, unknown>>;

export interface Step<P extends Plugin = Plugin> {
  readonly plugin: P;
  readonly options: PluginOptions;
  /** True for a user plugin; at the log, survey and waypoint stages it gets copies of the data. */
  readonly isUserPlugin?: boolean;
  /** Internal fields that a plugin or a picture needs; the step must compute those that it provides. */
  readonly wanted?: readonly string[];
}

/** Stages of a pipeline; refiners run among the waypoint plugins. */
export const STAGES = ['reader', 'log', 'survey', 'waypoint', 'plan', 'writer'] as const;
export type ByStage<T> = Readonly<Record<(typeof STAGES)[number], T>>;

export const ofAllStages = <T>(stages: ByStage<readonly T[]>): T[] =>
  STAGES.flatMap((stage) => stages[stage]);

/** Steps of a run by stage, each stage in order; planned before any input is read. */
export interface Pipeline {
  /** Reader steps in the order in which they are tried: user plugins first. */
  readonly reader: readonly Step<ReaderPlugin>[];
  readonly log: readonly Step<LogPlugin>[];
  readonly survey: readonly Step<SurveyPlugin>[];
  /** Plugins that provide or refine fields, each after the providers and refiners of the fields it reads. */
  readonly waypoint: readonly Step<AnyWaypointPlugin>[];
  readonly plan: readonly Step<PlanPlugin>[];
  readonly writer: readonly Step<WriterPlugin>[];
  /** Fields that the table and the GPX extension elements can hold, in order. */
  readonly fields: readonly (readonly [name: string, definition: FieldDefinition])[];
}

/**
 * Plans the order of the plugins and the fields that they provide, and checks both.
 *
 * Readers are tried in the order given, user plugins first. Log and survey plugins keep the order given. Each
 * waypoint plugin runs after the providers and refiners of the fields that it requires or uses; otherwise the
 * order given is kept.
 *
 * @param optionsOf Option values by plugin name; missing values take their defaults.
 * @param known Plugins to suggest when a field has no provider.
 * @throws Refusal (status 2) for a duplicate name, flag, suffix or column, a field with two providers, a
 * required or unknown field without a provider, or a cycle.
 */
export function planPipeline(
  plugins: readonly Plugin[],
  optionsOf: ReadonlyMap<string, PluginOptions> = new Map(),
  known: readonly Plugin[] = plugins,
  isUserPlugin: (plugin: Plugin) => boolean = () => false,
): Pipeline {
  const stage = <S extends Plugin['stage']>(name: S) =>
    plugins.filter((plugin): plugin is Extract<Plugin, { stage: S }> => plugin.stage === name);
  const names = plugins.map(({ name }) => [name, name] as const);
  ownersOf(names, (name) => says.twice(undefined, name));
  checkFlags(plugins);
  // A position's suffix must show the plugin that the position came from.
  const suffixes = stage('writer').flatMap(({ name, suffixes: own = [] }) =>
    own.map((suffix) => [suffix, name] as const),
  );
  ownersOf(suffixes, (suffix, first, second) => says['suffix-twice'](undefined, suffix, first, second));
  const step = <P extends Plugin>(plugin: P): Step<P> => ({
    plugin,
    options: { ...defaultsOf(plugin.options), ...optionsOf.get(plugin.name) },
    isUserPlugin: isUserPlugin(plugin),
  });
  const waypoint = orderByFields([...stage('waypoint'), ...stage('refine')], known);
  const fields = publicFields(waypoint);
  checkColumns(fields);
  return {
    reader: partition(stage('reader').map(step), ({ isUserPlugin: isFirst }) => isFirst === true).flat(),
    log: stage('log').map(step),
    survey: stage('survey').map(step),
    waypoint: waypoint.map((plugin) => ({ ...step(plugin), wanted: internalsRead(waypoint, stage('plan')) })),
    plan: stage('plan').map(step),
    writer: stage('writer').map(step),
    fields,
  };
}

/** Returns the waypoint steps. When pictures are wanted, the steps compute every internal field. */
export const waypointSteps = (
  { waypoint }: Pipeline,
  forPictures: boolean,
): readonly Step<AnyWaypointPlugin>[] =>
  forPictures ? waypoint.map((step) => ({ ...step, wanted: Object.keys(INTERNAL_FIELDS) })) : waypoint;

/** Returns the public name of a field that a plugin defines itself. */
export const pluginFieldName = (plugin: string, field: string): string => `${plugin}.${field}`;

/** Returns the fields that a plugin defines itself, under their public names. */
export const ownFields = ({
  name,
  fields = {},
}: WaypointPlugin): [name: string, definition: FieldDefinition][] =>
  Object.entries(fields).map(([field, definition]) => [pluginFieldName(name, field), definition]);

const providedNames = (plugin: AnyWaypointPlugin): string[] =>
  plugin.stage === 'refine' ? [] : [...plugin.provides, ...ownFields(plugin).map(([name]) => name)];

/** Returns the owner of each name. @throws Refusal (status 2) with the message of `fault` for two owners. */
function ownersOf<T>(
  names: readonly (readonly [name: string, owner: T])[],
  fault: (name: string, first: T, second: T) => Diagnostic,
): Map<string, T> {
  const owners = new Map<string, T>();
  for (const [name, owner] of names) {
    const first = owners.get(name);
    if (first !== undefined) throw new Refusal([fault(name, first, owner)], 2);
    owners.set(name, owner);
  }
  return owners;
}

/** Checks that plugins share a flag only if they share the definition of its option. */
function checkFlags(plugins: readonly Plugin[]): void {
  const owners = new Map<string, { plugin: string; definition: OptionDefinition }>();
  for (const { name, options } of plugins)
    for (const definition of Object.values<OptionDefinition>(options)) {
      const { flag } = definition;
      if (flag === undefined) continue;
      const owner = owners.get(flag) ?? { plugin: name, definition };
      if (owner.definition !== definition)
        throw new Refusal([saysOfOption['flag-taken'](undefined, flag, owner.plugin, name)], 2);
      owners.set(flag, owner);
    }
}

function orderByFields(plugins: readonly AnyWaypointPlugin[], known: readonly Plugin[]): AnyWaypointPlugin[] {
  const providers = ownersOf(
    plugins.flatMap((plugin) => providedNames(plugin).map((field) => [field, plugin] as const)),
    (field, first, second) => says['two-providers'](undefined, field, first.name, second.name),
  );
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
        problems.push(says['missing-field'](undefined, plugin.name, field, knownProvider(field, known)));
      // Refiners of a field run in the order given. Plugins that only read the field run after all of them.
      const others = refiners.filter((other) => (other.changes as readonly string[]).includes(field));
      const position = others.indexOf(plugin as RefinePlugin);
      for (const other of position >= 0 ? others.slice(0, position) : others) before.add(other);
    }
    needs.set(plugin, before);
  }
  if (problems.length > 0) throw new Refusal(problems, 2);
  return sortByNeeds(plugins, needs);
}

const isField = (name: string): boolean =>
  Object.hasOwn(FIELDS, name) || Object.hasOwn(INTERNAL_FIELDS, name);

/** Checks that each field has a column of its own in the table. @throws Refusal (status 2) otherwise. */
function checkColumns(fields: Pipeline['fields']): void {
  const fixed = FIXED_COLUMNS.map((name) => [name, name] as const);
  for (const units of ['ft', 'm'] as const) {
    const named = fields.map(([name, definition]) => [columnName(name, definition, units), name] as const);
    ownersOf([...fixed, ...named], (column, other, name) =>
      says['column-clash'](undefined, name, other, column),
    );
  }
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
    if (next === undefined) throw new Refusal([says.cycle(undefined, left)], 2);
    sorted.push(next);
    left = left.filter((plugin) => plugin !== next);
  }
  return sorted;
}

function publicFields(all: readonly AnyWaypointPlugin[]): [string, FieldDefinition][] {
  const plugins = all.filter((plugin) => plugin.stage === 'waypoint');
  const provided = new Set<string>(plugins.flatMap((plugin) => plugin.provides));
  const builtIn = Object.entries<FieldDefinition>(FIELDS).filter(([name]) => provided.has(name));
  return [...builtIn, ...plugins.flatMap(ownFields)];
}

function internalsRead(waypoint: readonly AnyWaypointPlugin[], plan: readonly PlanPlugin[]): string[] {
  const read = new Set<string>([
    ...waypoint.flatMap(({ requires, uses = [] }) => [...requires, ...uses]),
    ...plan.flatMap(({ requires }) => requires),
  ]);
  return Object.keys(INTERNAL_FIELDS).filter((name) => read.has(name));
}

/** Returns a field's column: the field name with `_` for `.` and `-`, then the unit of a length or angle. */
export function columnName(name: string, definition: FieldDefinition, units: DisplayUnits): string {
  const column = name.replace(/[.-]/g, '_');
  if (definition.unit === 'm') return `${column}_${units}`;
  return definition.unit === 'deg' ? `${column}_deg` : column;
}
