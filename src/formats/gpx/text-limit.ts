import type { Report } from '../../../shared/contract/index.ts';
import { gpxOutputMessages as says } from '../../../shared/text/index.ts';
import type { GpxDocument, WaypointAddition } from './gpx-document.ts';
import { summaryText } from './previous-additions.ts';

/** Minimum room for a cut comment, characters; judgment. With less room, a comment too long is dropped. */
const LEAST = 12;

/**
 * Shortens our comments on waypoints to the room that the user's text leaves within `maxText`, and our
 * comments on boat positions to `maxText`. The user's text is never cut.
 */
export function fitComments(
  document: GpxDocument,
  additions: readonly WaypointAddition[],
  { maxText }: { readonly maxText?: number },
  report: Report,
): readonly WaypointAddition[] {
  if (maxText === undefined) return additions;
  let shortened = 0;
  const shorten = (text: string, room: number): string => {
    if (text.length <= room) return text;
    shortened++;
    return room < LEAST ? '' : cutAtComma(text, room);
  };
  const frame = summaryText('x').length - 1;
  const fitted = additions.map((addition) => {
    const before = document.waypoints[addition.fileIndex]?.comment.length ?? 0;
    return {
      ...addition,
      comment: shorten(addition.comment, maxText - frame - (before === 0 ? 0 : before + 1)),
      partners: addition.partners.map((partner) => ({
        ...partner,
        comment: shorten(partner.comment, maxText),
      })),
    };
  });
  if (shortened > 0) report(says.shortened({ file: document.file }, shortened));
  return fitted;
}

/** Cuts a text to `room` characters, at the last comma if at least half of `room` stays. */
function cutAtComma(text: string, room: number): string {
  const cut = text.slice(0, room);
  const comma = cut.lastIndexOf(',');
  return (comma >= room / 2 ? cut.slice(0, comma) : cut).trimEnd();
}
