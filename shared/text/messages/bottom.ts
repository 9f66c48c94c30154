import { type Diagnostic, inMeters } from '../../contract/index.ts';
import { note, warning } from './make.ts';

export const noSoundings = (found: number, radius: number): Diagnostic =>
  warning(
    'bottom/no-data',
    found === 0
      ? `No sonar within ${inMeters(radius)}, so nothing is worked out here. Idle over it both ways and log it.`
      : `Too little sonar within ${inMeters(radius)} to work anything out here (${found === 1 ? 'one sounding' : `${found} soundings`}). Idle over it both ways and log it.`,
    { values: { found, radius } },
  );

export const onePass = (): Diagnostic =>
  warning(
    'bottom/one-pass',
    `No slope and no structure: you crossed this only once. Run one more pass ${inMeters(20)} to ${inMeters(40)} to either side.`,
  );

export const soundedOnOneSide = (): Diagnostic =>
  warning(
    'bottom/edge',
    'No structure, and a slope that may be off: sonar covers one side only. Run a pass on the other side.',
  );

export const passesFarApart = (spacing: number): Diagnostic =>
  warning(
    'bottom/sparse',
    `No structure: your passes are about ${inMeters(spacing)} apart over uneven bottom, which takes ${inMeters(40)} or less. Run passes between them.`,
    { values: { spacing } },
  );

/** A chance as odds, without percent: 1 in 4. */
export const oddsText = (chance: number): string =>
  chance > 0.6 ? `${Math.round(10 * chance)} in 10` : `1 in ${Math.round(1 / chance)}`;

/**
 * @param chance 0 to 1. @param size Usual size of such a form, m. @param distance To the nearest pass, m.
 * @param axis Bearing of a pass over the mark, deg true.
 */
export const missedForm = (
  { chance, size, distance }: { readonly chance: number; readonly size: number; readonly distance: number },
  axis: number,
): Diagnostic =>
  note(
    'bottom/missed-form',
    `Your passes may have missed a form here, ${oddsText(chance)} (on this lake about ${inMeters(size)} high or deep): the nearest is ${inMeters(distance)} away. Run one over the mark along ${String(Math.round(axis) % 180).padStart(3, '0')} deg true.`,
    { values: { chance, size, distance, axis } },
  );

export const passesDisagree = (sd: number): Diagnostic =>
  warning(
    'bottom/passes-disagree',
    `The depth here may be off by ${inMeters(sd, 1)}: your passes disagree about it. The messages about the logs say why.`,
    { values: { sd } },
  );

export const noAspect = (slope: number, slopeSd: number): Diagnostic =>
  note(
    'bottom/level',
    `No direction of slope: the bottom is too level here (${slope.toFixed(1)} deg, give or take ${slopeSd.toFixed(1)}).`,
    { values: { slope, slopeSd } },
  );

export const structureUnsure = (confidence: number): Diagnostic =>
  note(
    'structure/unsure',
    `The structure is a guess: it has only ${(100 * confidence).toFixed(0)} % confidence, so the runner-up may be right. Run passes closer together to find out.`,
    { values: { confidence } },
  );

export const reliefTooLow = (relief: number, need: number): Diagnostic =>
  note(
    'structure/low-relief',
    `The structure is a guess: the bottom changes by ${inMeters(relief, 1)} within ${inMeters(60)}, and it takes about ${inMeters(need, 1)} to tell a form from noise.`,
    { values: { relief, need } },
  );
