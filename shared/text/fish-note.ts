import { type DepthRange, type DisplayUnits, METERS_PER, type Waypoint } from '../contract/index.ts';
import { type DepthInNote, type DepthRole, depthsInNote } from './depth-roles.ts';
import { withoutProposal } from './messages/prospect.ts';
import { isPossibleDepth, metersOf } from './written-depth.ts';

/** Why a depth in a note is not that of the fish. */
export type LeftReason = Exclude<DepthRole, 'fish' | 'bare'>;

/** What a note says about the depth of the fish. */
export interface FishNote {
  /** Depth band, m, top < bottom; absent when the note gives none. */
  readonly band?: DepthRange;
  /** The words that give the depth, as written in the note. */
  readonly words?: string;
  /** The most important depth in the note that is not that of the fish; absent when there is none. */
  readonly left?: { readonly words: string; readonly reason: LeftReason; readonly thing: string };
}

/** Half the thickness of the depth band that a single depth stands for, m. */
const AROUND = 2 * METERS_PER.ft;
/** Reasons for rejecting a depth, most important first. Only the most important found is reported. */
const TELLING: readonly LeftReason[] = [
  'structure',
  'no-fish',
  'ground',
  'tackle',
  'boat',
  'place',
  'unclear',
];

/**
 * Reads the depth of the fish from an angler's note.
 *
 * A depth counts when the words assign it to the fish ("22-26 good bite", "caught 3 in 22", "holding 20"), or
 * when it appears alone ("24'", "22-26"). A single depth means 2 ft either way. Depths of structure, lures,
 * the boat and other things are rejected, with the reason. Impossible depths are ignored. A depth assigned by
 * words takes precedence over a depth that appears alone. After that, the comment takes precedence over the
 * description, and the description over the name. This program's own summary is not a note.
 *
 * @param units Unit for a depth written without one.
 */
export function readFishNote(
  { comment, description, name }: Pick<Waypoint, 'comment' | 'description' | 'name'>,
  units: DisplayUnits,
): FishNote {
  const all = [comment, description, name]
    .flatMap((text) => depthsInNote(withoutOwnSummary(text), text === name))
    .filter(({ part }) => metersOf(part, units).every(isPossibleDepth));
  const taken = all.find(({ role }) => role === 'fish') ?? all.find(({ role }) => role === 'bare');
  const left = TELLING.flatMap((reason) => all.filter(({ role }) => role === reason))[0];
  return {
    ...(taken === undefined ? {} : { band: bandOf(taken, units), words: taken.words }),
    ...(left === undefined
      ? {}
      : { left: { words: left.words, reason: left.role as LeftReason, thing: left.thing } }),
  };
}

/** This program's own summary in a note, even when cut short or without brackets. */
const SUMMARY = /\[?\bds:(?:[^\]]*\]|[\s\S]*$)/gi;
export const withoutOwnSummary = (text: string): string => withoutProposal(text.replace(SUMMARY, ';'));

function bandOf({ part }: DepthInNote, units: DisplayUnits): DepthRange {
  const depths = metersOf(part, units);
  const [top, bottom] = [Math.min(...depths), Math.max(...depths)];
  return top < bottom ? { top, bottom } : { top: Math.max(0, top - AROUND), bottom: top + AROUND };
}
