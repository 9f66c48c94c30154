import { oneLine } from './escape-xml.ts';
import type { GivenOut } from './given-out.ts';
import { startsAlike } from './given-out.ts';
import type { GpxWaypoint } from './gpx-document.ts';

/** What a user changed on a boat position that we wrote. */
export interface BoatEdits {
  /** A note of their own: text beside ours, in comment or description. */
  readonly note?: string;
  /** A symbol that they chose. */
  readonly symbol?: string;
}

/** Start of our comments on boat positions, and one that is whole. */
const OURS = /^boat [\d.]+ ?(?:ft|m),? ?/i;
const WHOLE = /^boat [\d.]+ ?(?:ft|m), .*?(?:on bottom|lure to) [\d.]+(?:-[\d.]+)? ?(?:ft|m)/i;

/**
 * What a user changed on boat positions that came back.
 *
 * A symbol that most boat positions of the file have alike was given by us or by the unit; one that stands out is a
 * user's. Text
 * is a user's unless it begins as ours does: units cut it, or mirror it into the description.
 *
 * @param boats With what was given out, where that is known.
 */
export function readBoatEdits(
  boats: readonly { readonly waypoint: GpxWaypoint; readonly given?: Pick<GivenOut, 'comment' | 'symbol'> }[],
): ReadonlyMap<GpxWaypoint, BoatEdits> {
  const usual = mostCommon(boats.map(({ waypoint }) => waypoint.symbol));
  const edits = new Map<GpxWaypoint, BoatEdits>();
  for (const { waypoint, given } of boats) {
    const note = [waypoint.comment, waypoint.description]
      .map((text) => withoutOurs(text, given?.comment))
      .filter((text, k, all) => text !== '' && all.indexOf(text) === k)
      .join(' ');
    const isChosen =
      waypoint.symbol !== '' &&
      waypoint.symbol !== usual &&
      waypoint.symbol !== given?.symbol &&
      boats.length > 1;
    if (note === '' && !isChosen) continue;
    edits.set(waypoint, {
      ...(note === '' ? {} : { note }),
      ...(isChosen ? { symbol: oneLine(waypoint.symbol).trim() } : {}),
    });
  }
  return edits;
}

/** A text without our part. @param comment Our part as written, if known. */
function withoutOurs(text: string, comment: string | undefined): string {
  let rest = oneLine(text);
  // What is carried over must be a user's on the next reading too: ours may stand in it several times.
  for (let left = withoutFirst(rest, comment); left !== rest; left = withoutFirst(rest, comment)) rest = left;
  return rest;
}

function withoutFirst(text: string, comment: string | undefined): string {
  const trimmed = text.trim();
  if (comment !== undefined && comment !== '' && trimmed.startsWith(comment))
    return trimmed.slice(comment.length).trim();
  const whole = WHOLE.exec(trimmed);
  if (whole !== null) return trimmed.slice(whole[0].length).trim();
  if (OURS.test(trimmed) || (comment !== undefined && startsAlike(trimmed, comment))) return '';
  return trimmed;
}

function mostCommon(values: readonly string[]): string | undefined {
  const counts = new Map<string, number>();
  for (const value of values) counts.set(value, (counts.get(value) ?? 0) + 1);
  return [...counts].sort((a, b) => b[1] - a[1])[0]?.[0];
}
