import { isDeepStrictEqual } from 'node:util';
import type { AnyWaypointPlugin, Diagnostic, EnrichedWaypoint } from '../../shared/contract/index.ts';
import {
  type LakeBuffers,
  openWaypoints,
  type Pipeline,
  type WaypointWork,
  waypointSteps,
} from '../../shared/engine/index.ts';
import { pluginMessages as says } from '../../shared/text/index.ts';
import { type PluginSources, type StepData, stepData, stepFromData } from './plugin-data.ts';
import type { Heartbeat } from './threads/heartbeat.ts';
import type { Pool } from './threads/pool.ts';

export interface WaypointJob extends Omit<WaypointWork, 'steps'> {
  readonly pipeline: Pipeline;
  readonly sources: PluginSources;
  /** Time after which a plugin counts as hung, s. Only runs with a user's plugin are watched. */
  readonly patience: number;
}

interface WaypointSetup extends Omit<WaypointWork, 'steps'> {
  readonly steps: readonly StepData[];
  readonly lake: LakeBuffers;
}

interface WaypointRequest {
  readonly index: number;
  /** Steps that must not run, with the reason: a step failed on this waypoint, or too often on others. */
  readonly skip: ReadonlyMap<number, Diagnostic>;
}

type WaypointAnswer = Omit<EnrichedWaypoint, 'waypoint'>;

/** Number of waypoints that take about as long as starting and warming up a thread, 0.3 s. */
const WORTH_THREADS = 40;
/** Number of waypoints on which a plugin hangs or exits before the run skips the plugin; judgment. */
const MAX_FAILURES = 3;

/**
 * Runs the waypoint plugins on all waypoints, in this thread and others.
 *
 * Unless a plugin hangs or exits, the results do not depend on the number of threads. A user's plugins never
 * run in this thread. When such a plugin exits or takes longer than `patience`, a message at the waypoint
 * names the plugin.
 */
export async function runWaypoints(
  { pipeline, sources, waypoints, keepInternals, patience }: WaypointJob,
  pool: Pool,
  lake: LakeBuffers,
  progress: (done: number) => void,
): Promise<EnrichedWaypoint[]> {
  const steps = waypointSteps(pipeline, keepInternals);
  const failures: Failure[] = [];
  const results: EnrichedWaypoint[] = [];
  const again = new Set<number>();
  const onLost = (index: number, step: number | undefined, isHung: boolean): void => {
    if (step === undefined) {
      // A plugin may end its thread after returning. Another thread then repeats the lost waypoint.
      if (again.has(index)) throw new Error('a thread ended before it answered');
      again.add(index);
      return;
    }
    const { name } = steps[step].plugin;
    const diagnostic = isHung
      ? says.hung(undefined, name, patience, 'fields')
      : says.exited(undefined, name, 'fields');
    failures.push({ index, step, diagnostic });
  };
  const work = {
    task: 'waypoint' as const,
    setup: {
      steps: steps.map((step) => stepData(step, sources)),
      waypoints,
      keepInternals,
      lake,
    } satisfies WaypointSetup,
    count: waypoints.length,
    requestAt: (index: number): WaypointRequest => ({ index, skip: skipOf(failures, index) }),
    take(index: number, { fields, diagnostics }: WaypointAnswer) {
      results.push({ waypoint: waypoints[index], fields, diagnostics });
      progress(results.length);
    },
  };
  if (steps.some(({ isUserPlugin }) => isUserPlugin)) await pool.runWatched({ ...work, patience, onLost });
  else {
    const { run } = openWaypoints({ steps, waypoints, keepInternals }, lake);
    await pool.run({ ...work, here: ({ index }) => run(index), worthThreads: WORTH_THREADS });
  }
  return results;
}

/** A step that hung or ended its thread on a waypoint. */
interface Failure {
  readonly index: number;
  readonly step: number;
  readonly diagnostic: Diagnostic;
}

function skipOf(failures: readonly Failure[], index: number): Map<number, Diagnostic> {
  const timesOf = (step: number): number => failures.filter((other) => other.step === step).length;
  const own = failures.filter((failure) => failure.index === index || timesOf(failure.step) >= MAX_FAILURES);
  return new Map(own.map(({ step, diagnostic }) => [step, diagnostic]));
}

/** Prepares a thread for waypoints. @returns Function that runs the waypoint plugins on a waypoint. */
export async function serve(setup: WaypointSetup, heartbeat: Heartbeat) {
  const steps = await Promise.all(setup.steps.map(stepFromData<AnyWaypointPlugin>));
  const waypoints = setup.waypoints.map((waypoint) => Object.freeze(waypoint));
  const own = steps.filter(({ isUserPlugin }) => isUserPlugin).map(({ plugin }) => plugin.name);
  const open = () => openWaypoints({ ...setup, steps, waypoints }, setup.lake);
  let { lake, run } = open();
  return ({ index, skip }: WaypointRequest): WaypointAnswer => {
    const { waypoint, fields, diagnostics } = run(index, heartbeat.enter, skip);
    heartbeat.leave();
    if (lake.copy === undefined || isDeepStrictEqual(setup.lake.survey, lake.copy.survey))
      return { fields, diagnostics };
    // One of the user's plugins modified the soundings. Which one is unknown, so all are named.
    ({ lake, run } = open());
    const place = { file: waypoint.file, waypoint: waypoint.name };
    const found = own.map((name) => says['changed-input'](place, name, 'fields'));
    return { fields, diagnostics: [...diagnostics, ...found] };
  };
}
