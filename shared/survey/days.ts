/**
 * Minimum time with a date (1980-01-01), s since 1970. A smaller time is a clock reading, s since midnight.
 *
 * Readers keep clock readings, because order and speed need only differences. Before using a date, check
 * `hasDay`.
 */
const FIRST_DAY = 315_532_800;

/** True when a time includes a date; false for a bare clock reading and for a missing time. */
export const hasDay = (time: number): boolean => time >= FIRST_DAY;

/** Returns the UTC day of a time, in days since 1970; -1 without a date. */
export const dayNumber = (time: number): number => (hasDay(time) ? Math.floor(time / 86400) : -1);

/** Returns a day number as `YYYY-MM-DD`. */
export const dayName = (day: number): string => new Date(day * 86_400_000).toISOString().slice(0, 10);
