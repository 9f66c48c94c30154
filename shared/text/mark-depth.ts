import type { Waypoint } from '../contract/waypoint.ts';
import { type DisplayUnits, toMeters } from '../geo/units.ts';
import { DEPTH_UNIT, depthUnitOf, NUMBER, numberOf } from './written-depth.ts';

/** Depth that a mark itself carries. */
export interface MarkDepth {
  /** m, positive down, > 0; as the sonar showed it on the day of the mark. */
  readonly depth: number;
  /** False when no unit is written with it and one was assumed: it may be feet read as meters, or meters read as feet. */
  readonly isUnitKnown: boolean;
  /** `extension`: an element of the GPX file; `text`: name, comment or description. */
  readonly source: 'extension' | 'text';
}

/** m; nobody marks bass deeper, and a greater number is a slip or another thing. */
const DEEPEST = 100;

const AMOUNT = `(${NUMBER})\\s*(${DEPTH_UNIT})?`;
/** `depth 21`, `Depth: 6.4 m`, `21 ft deep`, `21 feet of water`, `21 fow`. */
const BEFORE = new RegExp(
  `\\b(?:depth|dpth|dpt)\\b\\.?(?:\\s+(?:is|here|of|at))?\\s*[:=@~]?\\s*${AMOUNT}`,
  'gi',
);
const AFTER = new RegExp(
  `(?<![\\d.,:/-])${AMOUNT}(?:\\s*(?:deep(?!er|est)\\b|depth\\b(?!\\s*[:=]?\\s*\\d)|of\\s+water\\b)|\\s*fow\\b)`,
  'gi',
);
/** What goes on after a depth is a range, a change, a date or another amount. */
const GOES_ON =
  /^\s*(?:(?:[-\u2010-\u2015\u2212~/:]+|\.{2,}|to|thru|through|and|or|down\s+to)\s*\d|%|["\u201d\u2033]|(?:lbs?|oz|in|inch(?:es)?|mph|yds?|yards?|miles?)\b)/i;
/** Words in the clause that give the depth to something else than the ground under the mark. */
const OTHER =
  /\b(?:fish(?:es)?|bass|caught|bites?|school\w*|suspend\w*|holding|marked|stacked|keepers?|lures?|divers?|crank\w*|baits?|run(?:s|ning)?|boat|sit|draft|cast|thermocline|change|drops?|tops?|breaks?|ledge|lip|channel|creek|river|ditch|hole|flat|bar|base|edge|next|near|off)\b/i;

/**
 * Depth of the ground under a mark as the mark itself tells it: its depth element, else its words.
 *
 * Words count when they are said of the place alone ("depth 21", "21 ft deep", "21 feet of water"), not of the fish,
 * a lure or a structure ("channel 35 ft deep"), and not as a range. Texts are looked through in the order comment,
 * description, name; the first depth found is taken.
 *
 * @param units Unit of a number in the texts that has none.
 * @returns undefined when the mark tells none, or one that cannot be (0, or more than 100 m).
 */
export function markDepthOf(
  waypoint: Pick<Waypoint, 'name' | 'comment' | 'description' | 'depth' | 'isDepthUnitKnown'>,
  units: DisplayUnits,
): MarkDepth | undefined {
  const { depth, isDepthUnitKnown = true } = waypoint;
  if (depth !== undefined && isPossible(depth))
    return { depth, isUnitKnown: isDepthUnitKnown, source: 'extension' };
  for (const text of [waypoint.comment, waypoint.description, waypoint.name]) {
    const found = depthIn(text, units);
    if (found !== undefined) return { ...found, source: 'text' };
  }
  return undefined;
}

const isPossible = (depth: number): boolean => depth > 0 && depth <= DEEPEST;

function depthIn(text: string, units: DisplayUnits): Omit<MarkDepth, 'source'> | undefined {
  for (const pattern of [BEFORE, AFTER]) {
    for (const match of text.matchAll(pattern)) {
      const [whole, amount, unitText] = match;
      if (GOES_ON.test(text.slice(match.index + whole.length))) continue;
      const clause =
        text
          .slice(0, match.index)
          .split(/[;!?\n,]|\.\s/)
          .at(-1) ?? '';
      if (OTHER.test(clause)) continue;
      const unit = depthUnitOf(unitText) ?? (/fow$/i.test(whole) ? 'ft' : undefined);
      const depth = toMeters(numberOf(amount), unit ?? units);
      if (isPossible(depth)) return { depth, isUnitKnown: unit !== undefined };
    }
  }
  return undefined;
}
