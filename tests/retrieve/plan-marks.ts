import { cast } from '../../plugins/cast.ts';
import { nextAngles } from '../../plugins/next-angles.ts';
import type { BottomModel } from '../../shared/contract/bottom-model.ts';
import type { EarlierCasts } from '../../shared/contract/cast-plan.ts';
import type { Diagnostic } from '../../shared/contract/diagnostic.ts';
import type { PluginContext } from '../../shared/contract/plugin-base.ts';
import type { Waypoint } from '../../shared/contract/waypoint.ts';

const DEFAULTS = { units: 'ft', draft: 0.9144, line: '12', cast: 45.72, hazards: ['stump', 'brush'] };

export interface PlanInput {
  readonly bottom: BottomModel;
  /** Stated depths of the fish, m. When absent, the fish are within 3 ft of the depth at the mark. */
  readonly band?: readonly [top: number, bottom: number];
  /** Where the band comes from; when absent, the note if there is a band. */
  readonly source?: 'note' | 'option' | 'depth';
  readonly earlier?: EarlierCasts;
  readonly options?: object;
  readonly waypoints?: readonly Partial<Waypoint>[];
  readonly declination?: number;
}

/** Runs the cast plugins on one mark. */
export function planMark({
  bottom,
  band,
  earlier,
  options,
  waypoints = [],
  declination,
  ...given
}: PlanInput) {
  const said: Diagnostic[] = [];
  const context: PluginContext = {
    report: (diagnostic) => said.push(diagnostic),
    progress: () => {},
    isWanted: () => true,
  };
  const [top, deep] = band ?? [bottom.depth - 0.9144, bottom.depth + 0.9144];
  const source = given.source ?? (band === undefined ? 'depth' : 'note');
  const fields = { bottom, fish_top: top, fish_bottom: deep, fish_source: source, declination, earlier };
  const input = { waypoint: {}, waypoints };
  const chosen = { ...DEFAULTS, ...options } as never;
  const found = cast.run({ ...input, fields } as never, chosen, context);
  const next = nextAngles.run({ ...input, fields: { ...fields, ...found } } as never, chosen, context);
  return { found, angles: next.angles ?? [], said, codes: said.map(({ code }) => code) };
}
