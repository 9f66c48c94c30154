/**
 * Times before this (1980), s since 1970, have no day: they are readings of a clock without one.
 *
 * Readers pass such times on for order and speed; code that needs a date checks `hasDay`.
 */
const FIRST_DAY = 315_532_800;

/** True when a time has a day; false for a clock reading alone, and for none. */
export const hasDay = (time: number): boolean => time >= FIRST_DAY;

/** Day of a time, UTC, as days since 1970; -1 for none. */
export const dayNumber = (time: number): number => (hasDay(time) ? Math.floor(time / 86400) : -1);

/** Day by its number as `YYYY-MM-DD`. */
export const dayName = (day: number): string => new Date(day * 86_400_000).toISOString().slice(0, 10);
