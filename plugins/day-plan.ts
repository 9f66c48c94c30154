import { definePlanPlugin } from '../shared/contract/plugin.ts';
import { dayPlanOptions } from '../shared/day/options.ts';
import { planDay } from '../shared/day/plan-day.ts';

/** Which spots, in what order, when to rest them, and what today taught. */
export const dayPlan = definePlanPlugin({
  name: 'day-plan',
  summary:
    'Puts spots in order between ramp and check-in, with runs over known water, rest and second visits.',
  stage: 'plan',
  options: dayPlanOptions,
  requires: [],
  run: ({ waypoints, survey }, options, context) => planDay({ waypoints, survey }, options, context),
});
