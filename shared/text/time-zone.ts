/** Converts local clock readings of a zone to UTC. */
export interface TimeZone {
  readonly name: string;
  /** Seconds to subtract from every local reading; set for UTC and for a zone given as an offset. */
  readonly fixed?: number;
  /**
   * Returns the seconds to subtract from a local reading, given in seconds since 1970 as if it were UTC.
   *
   * `fold` means that clocks showed the reading twice, and the earlier instant is used. `gap` means that
   * clocks never showed the reading, and the offset before the gap is used.
   */
  offset(local: number): { seconds: number; ambiguity?: 'fold' | 'gap' };
}

export const UTC: TimeZone = fixedZone('UTC', 0);

/**
 * Finds a zone by its text: `UTC`, an offset such as `-05:00`, or a name of the time-zone database.
 *
 * @returns undefined when there is no such zone.
 */
export function parseZone(text: string): TimeZone | undefined {
  if (/^(?:UTC|GMT|Z)$/i.test(text)) return UTC;
  const offset = /^([+-])(\d{2}):?(\d{2})$/.exec(text);
  if (offset !== null) {
    const minutes = Number(offset[2]) * 60 + Number(offset[3]);
    if (minutes > 14 * 60 || Number(offset[3]) > 59) return undefined;
    return fixedZone(text, (offset[1] === '-' ? -60 : 60) * minutes);
  }
  return namedZone(text);
}

function fixedZone(name: string, seconds: number): TimeZone {
  const answer = { seconds };
  return { name, fixed: seconds, offset: () => answer };
}

/** Offsets are assumed to change only on quarter hours, so one answer is cached for each quarter hour. */
const QUARTER = 900;

function namedZone(name: string): TimeZone | undefined {
  let format: Intl.DateTimeFormat;
  try {
    format = clockOf(name);
  } catch {
    return undefined;
  }
  const known = new Map<number, { seconds: number; ambiguity?: 'fold' | 'gap' }>();
  return {
    name,
    offset(local) {
      const quarter = Math.floor(local / QUARTER);
      let answer = known.get(quarter);
      if (answer === undefined) {
        answer = solveOffset(format, quarter * QUARTER);
        known.set(quarter, answer);
      }
      return answer;
    },
  };
}

/** @throws RangeError when there is no zone with that name. */
const clockOf = (name: string): Intl.DateTimeFormat =>
  new Intl.DateTimeFormat('en-US', { timeZone: name, timeZoneName: 'longOffset' });

/** Returns what clocks of a zone show at an instant, in seconds since 1970 as if the reading were UTC. */
export const localReading = ({ name, fixed }: TimeZone, utc: number): number =>
  utc + (fixed ?? offsetAt(clockOf(name), utc));

/**
 * Finds the offset of a zone at a local reading. Tries the offsets in force a day before and a day after the
 * reading. An offset is right when it is in force at the instant that it gives.
 */
function solveOffset(
  format: Intl.DateTimeFormat,
  local: number,
): { seconds: number; ambiguity?: 'fold' | 'gap' } {
  const before = offsetAt(format, local - 86400);
  const after = offsetAt(format, local + 86400);
  const realBefore = offsetAt(format, local - before) === before;
  const realAfter = offsetAt(format, local - after) === after;
  if (before === after || (realBefore && !realAfter)) return { seconds: before };
  if (realAfter && !realBefore) return { seconds: after };
  return { seconds: before, ambiguity: realBefore ? 'fold' : 'gap' };
}

/** Returns the offset of local time from UTC at a UTC instant, s, positive east. */
function offsetAt(format: Intl.DateTimeFormat, utc: number): number {
  // The text ends with the offset, such as GMT-05:00; GMT alone is 0.
  const [, sign, ...parts] = /([+-])(\d+):(\d+)(?::(\d+))?$/.exec(format.format(utc * 1000)) ?? [];
  const [hours = 0, minutes = 0, seconds = 0] = parts.map((part) => Number(part ?? 0));
  return (sign === '-' ? -1 : 1) * (hours * 3600 + minutes * 60 + seconds);
}
