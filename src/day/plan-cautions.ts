/** Caution about runs, for a page that carries the others already. */
export const RUN_CAUTION =
  'Runs and boat positions are held against your own soundings and the zones you give, nothing else: not against no-entry, no-wake, dam or tailwater zones, private water or other traffic. No run here is said to be safe. Local law and licensed practice come first.';

/** Cautions that every page of a day plan carries. */
export const PLAN_CAUTIONS: readonly string[] = [
  'Not for navigation. Depths are estimates from your own sonar, reduced to a stated water level. Use official charts and a proper lookout; unmarked shoals, standing timber and structures exist.',
  RUN_CAUTION,
  'Wear a life jacket and the engine cut-off lanyard. Wind, current and dam releases change what is safe.',
];
