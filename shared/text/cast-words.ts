import type { CastKind, CastName, CastPlan, DisplayUnits } from '../contract/index.ts';
import { type BearingReference, bearingText, depthText, lengthText } from './quantity.ts';

/** Names one of a mark's two casts. @param first Kind of the mark's `downslope` cast, if any. */
export function castName(kind: CastKind, first: CastKind | undefined): CastName {
  if (kind === 'opposite') return first === 'downslope' ? 'opposite-deep-side' : 'opposite-side';
  if (kind === 'flat') return 'any-side';
  return kind === 'upslope' ? 'shallow-side' : 'deep-side';
}

interface SidePlans {
  readonly downslope?: CastPlan;
  readonly upslope?: CastPlan;
}

/** Names one of the two casts of a mark in words: `opposite deep side`. */
export const sideName = ({ kind }: Pick<CastPlan, 'kind'>, { downslope }: SidePlans): string =>
  castName(kind, downslope?.kind).replaceAll('-', ' ');

const ANGLE_WORDS: Readonly<Partial<Record<CastKind, string>>> = {
  quartering: 'quartering',
  along: 'along the contour',
  across: 'across the structure',
  opposite: 'from the other side',
};

export const angleName = ({ kind }: Pick<CastPlan, 'kind'>): string => ANGLE_WORDS[kind] ?? kind;

/** Describes next angles: `quartering 260M 48yd, boat in 22ft; along the contour 110M 46yd, boat in 18ft`. */
export const nextAngleText = (
  angles: readonly CastPlan[],
  declination: number | undefined,
  units: DisplayUnits,
): string =>
  angles
    .map(
      (plan) =>
        `${angleName(plan)} ${bearingText(plan.bearing, 'M', declination)} ${lengthText(plan.cast, units)}, boat in ${depthText(plan.boat.depth, units)}`,
    )
    .join('; ');

/**
 * Returns the bearing of a cast, followed by the bearing of an equally good cast if there is one: `214/034M`.
 *
 * @param declination deg, east positive.
 */
export function bearingsOf(
  { bearing, equalBearing }: Pick<CastPlan, 'bearing' | 'equalBearing'>,
  reference: BearingReference,
  declination: number | undefined,
): string {
  const text = bearingText(bearing, reference, declination);
  if (equalBearing === undefined) return text;
  return `${text.slice(0, -1)}/${bearingText(equalBearing, reference, declination)}`;
}
