import { definePlanPlugin } from '../shared/contract/index.ts';
import { dayPlanOptions, planDay } from '../shared/day/index.ts';

export const dayPlan = definePlanPlugin({
  name: 'day-plan',
  summary:
    'Puts spots in order between ramp and check-in, with runs over known water, rest and second visits.',
  stage: 'plan',
  options: dayPlanOptions,
  requires: [],
  run: ({ waypoints, survey }, options, context) => planDay({ waypoints, survey }, options, context),
});
