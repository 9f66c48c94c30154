import { isEqual } from 'es-toolkit/predicate';
import {
  type AnyWaypointPlugin,
  type Diagnostic,
  type EnrichedWaypoint,
  FIELDS,
  type FieldDefinition,
  INTERNAL_FIELDS,
  type LakeBottom,
  type SoundingIndex,
  type Survey,
  type Unseen,
  type Waypoint,
  type WaypointPlugin,
} from '../contract/index.ts';
import { plugin as says } from '../text/index.ts';
import { pluginFieldName, type Step } from './plan-pipeline.ts';

/** Data shared by all waypoints. */
export interface Lake {
  readonly survey: Survey;
  readonly index: SoundingIndex;
  readonly waypoints: readonly Waypoint[];
  /** Absent when no plugin reads it. */
  readonly unseen?: Unseen | undefined;
  /** The model of the whole lake; absent when no plugin reads it or it could not be made. */
  readonly lake?: LakeBottom | undefined;
  /** A copy for user plugins, so that one that modifies its input harms no other plugin. */
  readonly copy?: Omit<Lake, 'copy'>;
}

/**
 * Runs the waypoint plugins, in order, on one waypoint.
 *
 * A plugin that throws or violates the contract is named and loses its own fields; the others continue.
 *
 * @param enter Called with the position of each plugin before it runs, so that a supervisor can see which one hangs.
 * @param skip By position: plugins that must not run on this waypoint, because they hung or ended their process, with
 * the reason.
 */
export function runWaypoint(
  waypoint: Waypoint,
  lake: Lake,
  steps: readonly Step<AnyWaypointPlugin>[],
  enter: (position: number) => void = () => {},
  skip: ReadonlyMap<number, Diagnostic> = new Map(),
): EnrichedWaypoint {
  const fields: Record<string, unknown> = {};
  const diagnostics: Diagnostic[] = [];
  const report = (diagnostic: Diagnostic): void => {
    diagnostics.push({
      ...diagnostic,
      place: { file: waypoint.file, waypoint: waypoint.name, ...diagnostic.place },
    });
  };
  steps.forEach((step, position) => {
    const skipped = skip.get(position);
    if (skipped !== undefined) report(skipped);
    else if (isRunOn(step.plugin, fields)) {
      enter(position);
      Object.assign(fields, runStep(step, waypoint, lake, fields, report));
    }
  });
  return { waypoint, fields, diagnostics };
}

/** True when a plugin has everything it requires and, if it refines fields, at least one to change. */
const isRunOn = (plugin: AnyWaypointPlugin, fields: Readonly<Record<string, unknown>>): boolean =>
  plugin.requires.every((name) => fields[name] !== undefined) &&
  (plugin.stage === 'waypoint' || plugin.changes.some((name) => fields[name] !== undefined));

function runStep(
  step: Step<AnyWaypointPlugin>,
  waypoint: Waypoint,
  lake: Lake,
  fields: Readonly<Record<string, unknown>>,
  report: (diagnostic: Diagnostic) => void,
): Record<string, unknown> {
  const { plugin, options } = step;
  const input = inputOf(step, waypoint, lake, fields);
  let returned: Record<string, unknown>;
  try {
    const isWanted = (field: string): boolean => !isInternal(field) || (step.wanted ?? []).includes(field);
    const context = { report, progress: () => {}, isWanted };
    returned = (plugin.run(input as never, options as never, context) ?? {}) as Record<string, unknown>;
    if (returned instanceof Promise) throw new TypeError('it returned a promise, expected fields');
  } catch (cause) {
    report(says.pluginThrew(plugin.name, cause, 'fields'));
    return {};
  }
  const problems = Object.entries(returned).map(([name, value]) => checkValue(plugin, name, value));
  if (step.isUserPlugin && !isEqual(input, inputOf(step, waypoint, lake, fields)))
    problems.push(says.pluginChangedInput(plugin.name, 'fields'));
  const problem = problems.find((found) => found !== undefined);
  if (problem !== undefined) {
    report(problem);
    return {};
  }
  if (plugin.stage === 'waypoint') return publicNames(plugin, returned);
  const changed = Object.entries(returned).filter(
    ([name, value]) => value !== undefined && value !== fields[name],
  );
  for (const [name, value] of changed) report(says.pluginRefined(plugin.name, name, fields[name], value));
  return Object.fromEntries(changed);
}

/** The input of a plugin. User plugins get copies of other plugins' results, so that they cannot damage them. */
function inputOf(
  { plugin, isUserPlugin }: Step<AnyWaypointPlugin>,
  waypoint: Waypoint,
  lake: Lake,
  fields: Readonly<Record<string, unknown>>,
) {
  const changes = plugin.stage === 'refine' ? plugin.changes : [];
  const wanted = [...plugin.requires, ...(plugin.uses ?? []), ...changes];
  const read = Object.fromEntries(
    wanted.flatMap((name) => (fields[name] === undefined ? [] : [[name, fields[name]]])),
  );
  const { survey, index, waypoints, unseen, lake: bottom } = lake;
  const known = {
    ...(plugin.stage === 'waypoint' && plugin.readsUnseen ? { unseen } : {}),
    ...(plugin.stage === 'waypoint' && plugin.readsLake
      ? { lake: isUserPlugin ? structuredClone(bottom) : bottom }
      : {}),
  };
  if (!isUserPlugin) return { survey, index, waypoints, ...known, waypoint, fields: read };
  return {
    ...(lake.copy ?? { survey, index, waypoints }),
    ...known,
    waypoint: { ...waypoint },
    fields: structuredClone(read),
  };
}

/** The returned fields under their public names, without absent ones. */
function publicNames(
  plugin: WaypointPlugin,
  returned: Readonly<Record<string, unknown>>,
): Record<string, unknown> {
  const named = Object.entries(returned).map(([name, value]) => [
    Object.hasOwn(plugin.fields ?? {}, name) ? pluginFieldName(plugin.name, name) : name,
    value,
  ]);
  return Object.fromEntries(named.filter(([, value]) => value !== undefined));
}

function checkValue(plugin: AnyWaypointPlugin, name: string, value: unknown): Diagnostic | undefined {
  const isRefiner = plugin.stage === 'refine';
  const pluginField = isRefiner
    ? undefined
    : (plugin.fields as Record<string, FieldDefinition> | undefined)?.[name];
  const provided = ((isRefiner ? plugin.changes : plugin.provides) as readonly string[]).includes(name);
  if (pluginField === undefined && !provided) return says.pluginUndeclared(plugin.name, name);
  if (value === undefined) return undefined;
  const definition = pluginField ?? (FIELDS as Readonly<Record<string, FieldDefinition>>)[name];
  if (definition === undefined) return undefined;
  if (definition.type === 'number')
    return typeof value === 'number' && Number.isFinite(value)
      ? undefined
      : says.pluginBadValue(plugin.name, name, String(value), 'a finite number');
  if (typeof value !== 'string') return says.pluginBadValue(plugin.name, name, String(value), 'text');
  if (definition.words !== undefined && !definition.words.includes(value))
    return says.pluginBadValue(
      plugin.name,
      name,
      JSON.stringify(value),
      `one of ${definition.words.join(', ')}`,
    );
  return undefined;
}

const isInternal = (field: string): boolean => Object.hasOwn(INTERNAL_FIELDS, field);
