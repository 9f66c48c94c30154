import { type DepthRange, type DisplayUnits, METERS_PER, type Waypoint } from '../contract/index.ts';
import { type DepthInNote, type DepthRole, depthsInNote } from './depth-roles.ts';
import { withoutProposal } from './messages/prospect.ts';
import { metersOf } from './written-depth.ts';

/** Why a depth in a note is not the fish's. */
export type LeftReason = Exclude<DepthRole, 'fish' | 'bare'>;

/** What a note tells of the fish's depth. */
export interface FishNote {
  /** m, top < bottom; absent when the note tells none. */
  readonly band?: DepthRange;
  /** The words that tell it, as they are in the note. */
  readonly words?: string;
  /** A depth in the note that is not the fish's: the one that matters most; absent when there is none. */
  readonly left?: { readonly words: string; readonly reason: LeftReason; readonly thing: string };
}

/** m; fish marked at one depth are taken to be this much above and below it. */
const AROUND = 2 * METERS_PER.ft;
/** m; deeper than this nobody fishes a diving lure, and a greater number is another thing. */
const DEEPEST = 100;
/** Which depth to speak of when several were left. */
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
 * The depth of the fish as an angler means a note.
 *
 * A depth counts when the words give it to the fish ("22-26 good bite", "caught 3 in 22", "holding 20"), or when it
 * stands alone with its unit ("24'"). A single depth is 2 ft either way. Depths of structure, lures, the boat and other
 * things are left, with the reason. What words say of the fish goes before a depth that stands alone, then the
 * comment before the description before the name. Our own summary is no note.
 *
 * @param units Unit of a depth that has none.
 */
export function readFishNote(
  { comment, description, name }: Pick<Waypoint, 'comment' | 'description' | 'name'>,
  units: DisplayUnits,
): FishNote {
  const all = [comment, description, name]
    .flatMap((text) => depthsInNote(withoutOwnSummary(text), text === name))
    .filter((found) => isPossible(found, units));
  const taken = all.find(({ role }) => role === 'fish') ?? all.find(({ role }) => role === 'bare');
  const left = TELLING.flatMap((reason) => all.filter(({ role }) => role === reason))[0];
  return {
    ...(taken === undefined ? {} : { band: bandOf(taken, units), words: taken.words }),
    ...(left === undefined
      ? {}
      : { left: { words: left.words, reason: left.role as LeftReason, thing: left.thing } }),
  };
}

/** Our summary in a note, cut short or without its brackets as well. */
const SUMMARY = /\[?\bds:(?:[^\]]*\]|[\s\S]*$)/gi;
export const withoutOwnSummary = (text: string): string => withoutProposal(text.replace(SUMMARY, ';'));

const isPossible = ({ part }: DepthInNote, units: DisplayUnits): boolean =>
  metersOf(part, units).every((depth) => depth > 0 && depth <= DEEPEST);

function bandOf({ part }: DepthInNote, units: DisplayUnits): DepthRange {
  const depths = metersOf(part, units);
  const [top, bottom] = [Math.min(...depths), Math.max(...depths)];
  return top < bottom ? { top, bottom } : { top: Math.max(0, top - AROUND), bottom: top + AROUND };
}
