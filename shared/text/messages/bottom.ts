import { type Diagnostic, inMeters } from '../../contract/index.ts';

const warning = (code: string, message: string): Diagnostic => ({ severity: 'warning', code, message });
const note = (code: string, message: string): Diagnostic => ({ severity: 'note', code, message });

export const noSoundings = (found: number, radius: number): Diagnostic =>
  warning(
    'bottom/no-data',
    found === 0
      ? `Found no soundings within ${inMeters(radius)}, need passes on both sides; depth, slope and structure left out. Run a few passes over the waypoint.`
      : `Found ${found === 1 ? 'one sounding' : `${found} soundings`} within ${inMeters(radius)}, too few or too far from the waypoint, need passes on both sides; depth, slope and structure left out. Run a few passes over it.`,
  );

export const onePass = (): Diagnostic =>
  warning(
    'bottom/one-pass',
    `Found soundings along one line only, need passes on both sides of the waypoint; slope and structure left out. Run a pass ${inMeters(20)} to ${inMeters(40)} to either side.`,
  );

export const soundedOnOneSide = (): Diagnostic =>
  warning(
    'bottom/edge',
    'Found soundings on one side of the waypoint only, need them all round; structure left out, slope uncertain. Run a pass on the other side.',
  );

export const passesFarApart = (spacing: number): Diagnostic =>
  warning(
    'bottom/sparse',
    `Found passes about ${inMeters(spacing)} apart over uneven bottom, need ${inMeters(40)} or less; structure left out. Run passes between them.`,
  );

/** Chances in words that need no percent: 1 in 4. */
export const chanceText = (chance: number): string =>
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
    `${chanceText(chance)} that your passes missed a form here (this lake: about ${inMeters(size)}); nearest pass ${inMeters(distance)}. Run one over the mark along ${String(Math.round(axis) % 180).padStart(3, '0')} deg true.`,
  );

export const passesDisagree = (sd: number): Diagnostic =>
  warning(
    'bottom/passes-disagree',
    `Passes disagree about the depth here: it may be off by ${inMeters(sd, 1)}. What the logs say of each other tells why.`,
  );

export const noAspect = (slope: number, slopeSd: number): Diagnostic =>
  note(
    'bottom/level',
    `Found a slope of ${slope.toFixed(1)} deg, uncertain by ${slopeSd.toFixed(1)} deg, need 1 deg and twice its uncertainty for a direction; aspect left out.`,
  );

export const structureUnsure = (confidence: number): Diagnostic =>
  note(
    'structure/unsure',
    `Found the likeliest structure at ${(100 * confidence).toFixed(0)} %, need 50 % to rely on it; take the runner-up as likely too. Run passes closer together to be surer.`,
  );

export const reliefTooLow = (relief: number, need: number): Diagnostic =>
  note(
    'structure/low-relief',
    `Found ${inMeters(relief, 1)} of relief within ${inMeters(60)}, need about ${inMeters(need, 1)} to tell structure from noise; confidence held down.`,
  );
