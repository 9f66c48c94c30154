/** GPX `type` of the day plan stops that we write as waypoints. */
export const STOP_TYPE = 'day plan stop';
/** Start of our comments on the other places named in a plan. */
export const PLAN_PLACE = 'Day plan: ';
/** Start of our comments on stops, which a unit may cut: the hours, then the boat, cast or minutes. */
const STOP_COMMENT = /^\d\d:\d\d-\d\d:\d\d, (?:boat \d|cast \d|\d+min)/;

/** True for a stop of a day plan, even one that a unit returned without its type. */
export const isPlanStop = (type: string, comment: string): boolean =>
  type === STOP_TYPE || STOP_COMMENT.test(comment) || comment.startsWith(PLAN_PLACE);
