import { mapKeys, mapValues, pick, pickBy } from 'es-toolkit/object';
import { isEqual } from 'es-toolkit/predicate';
import {
  type AnyWaypointPlugin,
  type CastPlan,
  type Diagnostic,
  type EnrichedWaypoint,
  FIELDS,
  type FieldDefinition,
  INTERNAL_FIELDS,
  type Report,
  type SoundingIndex,
  type Survey,
  type Waypoint,
  type WaypointPlugin,
} from '../contract/index.ts';
import { fromBuffers, indexBuffers } from '../survey/index.ts';
import { pluginMessages as says } from '../text/index.ts';
import { pluginFieldName, type Step } from './plan-pipeline.ts';
import type { LakeBuffers } from './run-stages.ts';

/** Data shared by all waypoints. */
export interface Lake extends Omit<LakeBuffers, 'index'> {
  readonly index: SoundingIndex;
  readonly waypoints: readonly Waypoint[];
  /** Copy for all user plugins, so that a plugin that modifies its input does not harm built-in plugins. */
  readonly copy?: Pick<Lake, 'survey' | 'waypoints' | 'index'>;
}

/** Returns the lake for the waypoint plugins, with a separate copy for user plugins if there are any. */
export function lakeOf(buffers: LakeBuffers, waypoints: readonly Waypoint[], hasUserPlugin: boolean): Lake {
  const lake = { ...buffers, waypoints, index: fromBuffers(buffers.index) };
  if (!hasUserPlugin) return lake;
  const survey = mapValues(buffers.survey, (value) =>
    ArrayBuffer.isView(value) ? (value as Float64Array).slice() : value,
  ) as unknown as Survey;
  return { ...lake, copy: { survey, waypoints, index: fromBuffers(indexBuffers(survey)) } };
}

export interface WaypointWork {
  readonly steps: readonly Step<AnyWaypointPlugin>[];
  readonly waypoints: readonly Waypoint[];
  readonly keepInternals: boolean;
}

/** Returns the lake, and a function that runs the waypoint plugins on the waypoint at an index. */
export function openWaypoints({ steps, waypoints, keepInternals }: WaypointWork, buffers: LakeBuffers) {
  const hasUserPlugin = steps.some(({ isUserPlugin }) => isUserPlugin);
  const lake = lakeOf(buffers, waypoints, hasUserPlugin);
  const run = (
    index: number,
    enter?: (position: number) => void,
    skip?: ReadonlyMap<number, Diagnostic>,
  ): EnrichedWaypoint => {
    const enriched = runWaypoint(waypoints[index], lake, steps, enter, skip);
    return keepInternals ? enriched : withoutInternals(enriched);
  };
  return { lake, run };
}

/**
 * Runs the waypoint plugins, in order, on one waypoint.
 *
 * The fields of a plugin that throws or violates the contract are left out, and a message names the plugin.
 * Plugins that do not require these fields still run.
 *
 * @param enter Called with the position in `steps` of each plugin before it runs, so that a supervisor can
 * see which plugin hangs.
 * @param skip Reason for each plugin that must not run on this waypoint, by its position in `steps`. Such a
 * plugin hung or ended its thread, on this waypoint or on several others.
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

/** True when a waypoint has all fields that a plugin requires and, for a refiner, a field that it changes. */
const isRunOn = (plugin: AnyWaypointPlugin, fields: Readonly<Record<string, unknown>>): boolean =>
  plugin.requires.every((name) => fields[name] !== undefined) &&
  (plugin.stage === 'waypoint' || plugin.changes.some((name) => fields[name] !== undefined));

function runStep(
  step: Step<AnyWaypointPlugin>,
  waypoint: Waypoint,
  lake: Lake,
  fields: Readonly<Record<string, unknown>>,
  report: Report,
): Record<string, unknown> {
  const { plugin, options } = step;
  const input = inputOf(step, waypoint, lake, fields);
  let returned: Record<string, unknown>;
  try {
    const isWanted = (field: string): boolean => !isInternal(field) || (step.wanted ?? []).includes(field);
    const context = { report, progress: () => {}, isWanted };
    returned = (plugin.run(input as never, options as never, context) ?? {}) as Record<string, unknown>;
    if (returned instanceof Promise) throw new TypeError('it returned a promise instead of fields');
  } catch (cause) {
    report(says.threw(undefined, plugin.name, cause, 'fields'));
    return {};
  }
  const problems = Object.entries(returned).map(([name, value]) => checkValue(plugin, name, value));
  if (step.isUserPlugin && !isEqual(input, inputOf(step, waypoint, lake, fields)))
    problems.push(says['changed-input'](undefined, plugin.name, 'fields'));
  const problem = problems.find((found) => found !== undefined);
  if (problem !== undefined) {
    report(problem);
    return {};
  }
  if (plugin.stage === 'waypoint') return publicNames(plugin, returned);
  const changed = pickBy(returned, (value, name) => value !== undefined && value !== fields[name]);
  for (const [name, value] of Object.entries(changed))
    report(says.refined(undefined, plugin.name, name, fields[name], value, isLength(name)));
  return changed;
}

/** Returns the input of a plugin. A user plugin gets copies, so it cannot harm built-in plugins. */
function inputOf(
  { plugin, isUserPlugin }: Step<AnyWaypointPlugin>,
  waypoint: Waypoint,
  lake: Lake,
  fields: Readonly<Record<string, unknown>>,
) {
  const changes = plugin.stage === 'refine' ? plugin.changes : [];
  const wanted = [...plugin.requires, ...(plugin.uses ?? []), ...changes];
  const read = pickBy(pick(fields, wanted), (value) => value !== undefined);
  const { survey, index, waypoints, unseen, lake: bottom } = lake;
  const { readsUnseen, readsLake } = plugin.stage === 'waypoint' ? plugin : {};
  const known = {
    ...(readsUnseen && { unseen }),
    ...(readsLake && { lake: isUserPlugin ? structuredClone(bottom) : bottom }),
  };
  if (!isUserPlugin) return { survey, index, waypoints, ...known, waypoint, fields: read };
  return {
    ...(lake.copy ?? { survey, index, waypoints }),
    ...known,
    waypoint: { ...waypoint },
    fields: structuredClone(read),
  };
}

const publicNames = (
  { name: plugin, fields = {} }: WaypointPlugin,
  returned: Readonly<Record<string, unknown>>,
): Record<string, unknown> =>
  mapKeys(
    pickBy(returned, (value) => value !== undefined),
    (_, name) => (Object.hasOwn(fields, name) ? pluginFieldName(plugin, name) : name),
  );

function checkValue(plugin: AnyWaypointPlugin, name: string, value: unknown): Diagnostic | undefined {
  const [provided, own = {}]: readonly [readonly string[], Readonly<Record<string, FieldDefinition>>?] =
    plugin.stage === 'refine' ? [plugin.changes] : [plugin.provides, plugin.fields];
  if (own[name] === undefined && !provided.includes(name))
    return says.undeclared(undefined, plugin.name, name);
  const definition = own[name] ?? (FIELDS as Readonly<Record<string, FieldDefinition>>)[name];
  if (value === undefined || definition === undefined) return undefined;
  const bad = (found: string, expected: string): Diagnostic =>
    says.value(undefined, plugin.name, name, found, expected);
  if (definition.type === 'number')
    return Number.isFinite(value) ? undefined : bad(String(value), 'a finite number');
  if (typeof value !== 'string') return bad(String(value), 'text');
  const isKnown = definition.words?.includes(value) ?? true;
  return isKnown ? undefined : bad(JSON.stringify(value), `one of ${definition.words?.join(', ')}`);
}

const isLength = (field: string): boolean =>
  (FIELDS as Readonly<Record<string, FieldDefinition>>)[field]?.unit === 'm';

const isInternal = (field: string): boolean => Object.hasOwn(INTERNAL_FIELDS, field);

/** Returns a waypoint without its bottom model and the profiles of its casts, since both are large. */
function withoutInternals(enriched: EnrichedWaypoint): EnrichedWaypoint {
  const { bottom: _bottom, downslope, upslope, angles, ...fields } = enriched.fields;
  const plans = {
    downslope: downslope && withoutProfile(downslope),
    upslope: upslope && withoutProfile(upslope),
    angles: angles?.map(withoutProfile),
  };
  return { ...enriched, fields: { ...fields, ...pickBy(plans, (plan) => plan !== undefined) } };
}

const EMPTY = new Float64Array(0);

const withoutProfile = (plan: CastPlan): CastPlan => ({
  ...plan,
  profile: mapValues(plan.profile, () => EMPTY),
});
