import { METERS_PER_SECOND_PER, type SpeedUnit, type WindOnCast } from '../contract/index.ts';
import { parseDirection } from '../text/index.ts';
import { turnBetween } from './cast-rules.ts';

/** Wind of the day: direction it comes from, deg true, [0, 360), and speed, m/s. */
export type Wind = NonNullable<ReturnType<typeof parseWind>>;

/** Form of the text of a wind: `210@12mph`, `SW@10mph`, `sw 10 mph`. */
export const WIND_PATTERN =
  /(\d{1,3}(?:\.\d+)?|[a-z]{1,5}(?:[ -]?[a-z]{1,5})?)\s*(?:@|\bat\b|\s)\s*(\d{1,3}(?:\.\d+)?)\s*(mph|kn|kts?|km\/h|kmh|m\/s)/i;

/** Strongest wind accepted, m/s: nobody casts in more. */
const STRONGEST = 40;

/** Reads a wind from text; undefined for other text, a direction over 360 deg, or more than 40 m/s. */
export function parseWind(text: string): { readonly from: number; readonly speed: number } | undefined {
  const match = new RegExp(`^${WIND_PATTERN.source}$`, 'i').exec(text.trim());
  if (match === null) return undefined;
  const from = parseDirection(match[1]);
  const unit = match[3].toLowerCase().replace(/^kts?$/, 'kn') as SpeedUnit;
  const speed = Number(match[2]) * METERS_PER_SECOND_PER[unit];
  return from !== undefined && speed <= STRONGEST ? { from, speed } : undefined;
}

/** Shares of its length that a cast gains or loses per m/s of tailwind, headwind and crosswind. Judgment. */
const GAIN_BEHIND = 0.03;
const LOSS_AHEAD = 0.04;
const LOSS_ACROSS = 0.01;
/** Limits of the length of a cast in wind, as shares of its length in still air. Judgment. */
const MIN_SHARE = 0.5;
const MAX_SHARE = 1.3;

/** Returns the length of a cast on a bearing, as a share of its length in still air. */
export function windFactor(wind: Wind | undefined, bearing: number): number {
  if (wind === undefined) return 1;
  const turn = ((bearing - wind.from) * Math.PI) / 180;
  const ahead = wind.speed * Math.cos(turn);
  const across = wind.speed * Math.abs(Math.sin(turn));
  const factor = 1 - (ahead > 0 ? LOSS_AHEAD : GAIN_BEHIND) * ahead - LOSS_ACROSS * across;
  return Math.min(Math.max(factor, MIN_SHARE), MAX_SHARE);
}

/** Returns the length of a cast straight downwind, as a share of its length in still air. */
export const longestFactor = (wind: Wind | undefined): number =>
  wind === undefined ? 1 : windFactor(wind, wind.from + 180);

/** Weakest wind worth mentioning, m/s: about 7 mph. */
const NOTICEABLE = 3;

/** Tells how a cast meets the wind: `into` or `with` within 45 deg, else `across`; undefined below 3 m/s. */
export function windOnCast(wind: Wind | undefined, bearing: number): WindOnCast | undefined {
  if (wind === undefined || wind.speed < NOTICEABLE) return undefined;
  const turn = turnBetween(bearing, wind.from);
  return turn <= 45 ? 'into' : turn >= 135 ? 'with' : 'across';
}

/** Bonus for a retrieve with the current, as a share of the length among the fish. Judgment. */
const CURRENT_WEIGHT = 0.03;
/** Penalty for a cast straight into 10 m/s of wind or more, as a share of length among the fish. Judgment. */
const HEADWIND_WEIGHT = 0.02;

/**
 * Returns a function from bearing to bonus, -0.05 to 0.03; undefined if neither wind nor current is given.
 *
 * @param current Direction that the current flows to, deg true.
 */
export function bearingPreference(
  wind: Wind | undefined,
  current: number | undefined,
): ((bearing: number) => number) | undefined {
  if (wind === undefined && current === undefined) return undefined;
  return (bearing) => {
    let preference = 0;
    // The retrieve runs opposite to the bearing of the cast.
    if (current !== undefined) preference -= CURRENT_WEIGHT * Math.cos(((bearing - current) * Math.PI) / 180);
    if (wind !== undefined) {
      const ahead = Math.max(Math.cos(((bearing - wind.from) * Math.PI) / 180), 0);
      preference -= HEADWIND_WEIGHT * Math.min(wind.speed / 10, 1) * ahead;
    }
    return preference;
  };
}
