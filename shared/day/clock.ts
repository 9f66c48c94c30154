/** Seconds of the day from `06:30`, `6:30` or `0630`; undefined when it is no time of a day. */
export function parseClock(text: string): number | undefined {
  const match = /^(\d{1,2}):(\d{2})$|^(\d{2})(\d{2})$/.exec(text.trim());
  if (match === null) return undefined;
  const hours = Number(match[1] ?? match[3]);
  const minutes = Number(match[2] ?? match[4]);
  return hours > 23 || minutes > 59 ? undefined : hours * 3600 + minutes * 60;
}

/** `06:30` of seconds of the day, to the nearest minute; stays within the day. */
export function formatClock(seconds: number): string {
  const minutes = Math.min(1439, Math.max(0, Math.round(seconds / 60)));
  return `${String(Math.floor(minutes / 60)).padStart(2, '0')}:${String(minutes % 60).padStart(2, '0')}`;
}

/** What a time of the day looks like, for options. */
export const CLOCK_PATTERN = /(?:[01]?\d|2[0-3]):[0-5]\d|(?:[01]\d|2[0-3])[0-5]\d/;
