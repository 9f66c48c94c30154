/** Public entry point of the package, for programs, pages and plugins. */

import type {
  CheckAnswer,
  CheckRequest,
  EnrichAnswer,
  EnrichRequest,
  PlanAnswer,
  PlanRequest,
  ProgramHooks,
} from '../shared/engine/index.ts';

export type { DayPlan } from '../shared/day/index.ts';
export type {
  CheckAnswer,
  CheckRequest,
  EnrichAnswer,
  EnrichRequest,
  InputFile,
  InputSoundings,
  InputWaypoints,
  LakeAnswer,
  LakeRequest,
  MarkCoverage,
  OptionInput,
  PlanAnswer,
  PlanRequest,
  ProgramHooks,
  ProposedPass,
} from '../shared/engine/index.ts';
export * from '../shared/index.ts';

// Loaded on first use, because plugins import this file without needing the readers and writers.
const program = () => import('./engine/program.ts');

/**
 * Enriches waypoints like the command `enrich`: the same inputs give the same bytes of GPX and table.
 *
 * @throws Refusal when an input or option is refused; the reason of `hooks.signal` when it is aborted.
 */
export const enrich = async (request: EnrichRequest, hooks?: ProgramHooks): Promise<EnrichAnswer> =>
  (await program()).enrich(request, hooks);

/** Reports what was read and dropped, and how passes cover the waypoints. @throws As `enrich`. */
export const check = async (request: CheckRequest, hooks?: ProgramHooks): Promise<CheckAnswer> =>
  (await program()).check(request, hooks);

/** Plans the stops of a day in order, from ramp to check-in, like the command `plan`. @throws As `enrich`. */
export const plan = async (request: PlanRequest, hooks?: ProgramHooks): Promise<PlanAnswer> =>
  (await program()).plan(request, hooks);
