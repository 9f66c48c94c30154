/** The package: what a program, a page and the author of a plugin import. */

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

// A plugin imports this file too, and should not load what reads and writes.
const program = () => import('./engine/program.ts');

/**
 * Enriches waypoints as the command `enrich` does: the same bytes of GPX and table for the same inputs.
 *
 * @returns Spots with their fields, the survey, messages, enriched GPX, table and GeoJSON.
 * @throws Refusal when an input or an option is refused; the reason of `hooks.signal` when it is aborted.
 */
export const enrich = async (request: EnrichRequest, hooks?: ProgramHooks): Promise<EnrichAnswer> =>
  (await program()).enrich(request, hooks);

/**
 * What was read and dropped, how passes agree and how they cover the waypoints, as the command `check` says it.
 *
 * @throws As `enrich`.
 */
export const check = async (request: CheckRequest, hooks?: ProgramHooks): Promise<CheckAnswer> =>
  (await program()).check(request, hooks);

/**
 * Stops of a day in order between ramp and check-in, as the command `plan` gives them.
 *
 * @throws As `enrich`.
 */
export const plan = async (request: PlanRequest, hooks?: ProgramHooks): Promise<PlanAnswer> =>
  (await program()).plan(request, hooks);
