import type { CastPlan } from '../../shared/retrieve/cast-plan.ts';

/** Clearance, m, within which the drawn lure counts as on bottom: well below the width of the drawn line. */
const TOUCH = 0.02;

/** Pieces of a cast, m from the boat, ascending, on which the modelled lure is on bottom. */
export function touchedPieces({ profile }: CastPlan): [from: number, to: number][] {
  const pieces: [number, number][] = [];
  let open: [number, number] | undefined;
  for (let i = 0; i < profile.distance.length; i += 1) {
    const isTouching = profile.lure[i] > 0 && profile.bottom[i] - profile.lure[i] <= TOUCH;
    if (!isTouching) {
      open = undefined;
      continue;
    }
    if (open === undefined) {
      open = [profile.distance[i], profile.distance[i]];
      pieces.push(open);
    }
    open[1] = profile.distance[i];
  }
  return pieces;
}
