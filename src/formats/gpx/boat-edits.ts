import { greatest } from 'd3-array';
import { oneLine } from './escape-xml.ts';
import type { BoatEdits, GpxWaypoint } from './gpx-document.ts';
import { type LedgerEntry, startsAlike } from './match-ledger.ts';

/** Start of our comments on boat positions when there is room for 80 characters. */
const TEXT_BEGIN = /^boat [\d.]+ ?(?:ft|m),? ?/i;
/** Complete comment of ours, up to the depths after `on bottom`, `touch` or `lure to`. */
const WHOLE = /^boat [\d.]+ ?(?:ft|m), .*?(?:on bottom|touch|lure to) [\d.]+(?:-[\d.]+)? ?(?:ft|m)/i;

/**
 * Finds the user's changes to boat positions that came back from a chartplotter.
 *
 * The most common symbol among the boat positions counts as ours or the chartplotter's. Among several boat
 * positions, a symbol is the user's if it is not empty and is neither this symbol nor the symbol written.
 * Text is the user's if it follows a complete comment of ours or does not begin like one. Chartplotters cut
 * our comments, so text that only begins like one is ours.
 *
 * @param boats Boat positions, each with what was written for it, if known.
 */
export function readBoatEdits(
  boats: readonly {
    readonly waypoint: GpxWaypoint;
    readonly given?: Pick<LedgerEntry, 'comment' | 'symbol'>;
  }[],
): ReadonlyMap<GpxWaypoint, BoatEdits> {
  const usual = mostCommon(boats.map(({ waypoint }) => waypoint.symbol));
  const edits = new Map<GpxWaypoint, BoatEdits>();
  for (const { waypoint, given } of boats) {
    const note = [waypoint.comment, waypoint.description]
      .map((text) => withoutOurs(text, given?.comment))
      .filter((text, k, all) => text !== '' && all.indexOf(text) === k)
      .join(' ');
    const isChosen = boats.length > 1 && !['', usual, given?.symbol].includes(waypoint.symbol);
    if (note === '' && !isChosen) continue;
    edits.set(waypoint, {
      ...(note === '' ? {} : { note }),
      ...(isChosen ? { symbol: oneLine(waypoint.symbol).trim() } : {}),
    });
  }
  return edits;
}

function withoutOurs(text: string, comment: string | undefined): string {
  let rest = oneLine(text);
  // Every copy of our text is removed. Otherwise the next run would find a copy in what this run keeps as the
  // user's note.
  for (let left = withoutFirst(rest, comment); left !== rest; left = withoutFirst(rest, comment)) rest = left;
  return rest;
}

function withoutFirst(text: string, comment: string | undefined): string {
  const trimmed = text.trim();
  if (comment !== undefined && comment !== '' && trimmed.startsWith(comment))
    return trimmed.slice(comment.length).trim();
  const whole = WHOLE.exec(trimmed);
  if (whole !== null) return trimmed.slice(whole[0].length).trim();
  if (TEXT_BEGIN.test(trimmed) || (comment !== undefined && startsAlike(trimmed, comment))) return '';
  return trimmed;
}

function mostCommon(values: readonly string[]): string | undefined {
  const counts = new Map<string, number>();
  for (const value of values) counts.set(value, (counts.get(value) ?? 0) + 1);
  return greatest(counts, ([, count]) => count)?.[0];
}
