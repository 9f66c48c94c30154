const DEPTHS =
  'Not for navigation. Depths are estimates from your own sonar, reduced to a stated water level. Use official charts and a proper lookout; unmarked shoals, standing timber and structures exist.';
const PEOPLE =
  'Wear a life jacket and the engine cut-off lanyard. Wind, current and dam releases change what is safe.';

/** Cautions on every page without a day plan. */
export const CAUTIONS: readonly string[] = [
  DEPTHS,
  'Boat positions are not checked against no-entry, no-wake, dam or tailwater zones, private water or other traffic unless you supply those zones. Local law and licensed practice come first.',
  PEOPLE,
];

/** Cautions on every page with a day plan. */
export const PLAN_CAUTIONS: readonly string[] = [
  DEPTHS,
  'Runs and boat positions are checked against your own sonar depths and the zones you give, nothing else: not against no-entry, no-wake, dam or tailwater zones, private water or other traffic. No run here is said to be safe. Local law and licensed practice come first.',
  PEOPLE,
];
