import { type Diagnostic, type LengthUnit, toMeters } from '../../../shared/contract/index.ts';
import { type At, parseNumber, soundingMessages as says } from '../../../shared/text/index.ts';
import { DEFAULT_SENTINELS } from './layout.ts';
import type { ReaderOptions } from './reader-options.ts';

export interface DepthRules extends Pick<ReaderOptions, 'sentinels' | 'zeroIsValid' | 'maxDepth'> {
  readonly unit: LengthUnit;
  /** `up` for elevations of the bottom. */
  readonly vertical: 'down' | 'up';
  /** True when the file states `vertical`, so that no option changes it. */
  readonly isStated?: boolean;
}

/**
 * Returns why a depth cannot be used; undefined when it can.
 *
 * @param written In `rules.unit`; NaN if none. @param text As in the file, for messages.
 */
export function writtenDepthFault(
  written: number,
  at: At,
  rules: DepthRules,
  text = `${written}`,
): Diagnostic | undefined {
  const { sentinels, vertical } = rules;
  if (Number.isNaN(written)) return says['no-depth'](at, '');
  // Among elevations, -1 is an ordinary value: one unit below the surface.
  const isNone = DEFAULT_SENTINELS.includes(written) && !(written === -1 && vertical === 'up');
  if (isNone || sentinels.some((text) => parseNumber(text) === written)) return says['no-depth'](at, text);
  return depthFault(toMeters(vertical === 'up' ? -written : written, rules.unit), text, at, rules);
}

/**
 * Returns why a depth cannot be used; undefined when it can.
 * @param depth m, positive down.
 * @param written As in the file, for messages.
 */
export function depthFault(
  depth: number,
  written: string,
  at: At,
  { vertical, isStated = false, zeroIsValid, maxDepth }: Omit<DepthRules, 'unit' | 'sentinels'>,
): Diagnostic | undefined {
  if (depth === 0 && !zeroIsValid) return says['lost-bottom'](at);
  if (depth < 0) return says['depth-sign'](at, written, vertical, isStated);
  return depth > maxDepth ? says['depth-range'](at, written, maxDepth, depth) : undefined;
}
