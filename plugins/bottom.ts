import {
  isWorthAPass,
  localRows,
  type MarkSounding,
  modelBottom,
  SCREEN_SD,
  SURFACE_RADIUS,
} from '../shared/bottom/index.ts';
import {
  type BottomModel,
  type DisplayUnits,
  defineWaypointPlugin,
  type PluginContext,
  type Waypoint,
} from '../shared/contract/index.ts';
import { dateOption, unitsOption, waterLevelOption } from '../shared/retrieve/index.ts';
import { coverageAt, levelChange, levelsOption, tieSd } from '../shared/survey/index.ts';
import { markDepthOf, bottomMessages as say } from '../shared/text/index.ts';

export const bottom = defineWaypointPlugin({
  name: 'bottom',
  summary:
    'Models the bottom around each waypoint from the passes near it: depth, slope and aspect, each with its uncertainty.',
  stage: 'waypoint',
  options: { units: unitsOption, levels: levelsOption, today: waterLevelOption, date: dateOption },
  readsUnseen: true,
  requires: [],
  uses: ['declination'],
  provides: [
    'status',
    'soundings',
    'pass_spacing',
    'depth',
    'depth_sd',
    'depth_low',
    'depth_high',
    'pass_depth',
    'pass_depth_sd',
    'missed_chance',
    'nearest_pass',
    'slope',
    'slope_sd',
    'aspect',
    'aspect_sd',
    'bottom',
  ],
  run({ waypoint, survey, index, unseen, fields }, options, context) {
    const { lat, lon } = waypoint;
    const mark = markSounding(waypoint, options);
    const levelSd = tieSd(survey, index, lat, lon);
    const hasGrid = context.isWanted('bottom');
    const rows = localRows(survey, index.within(lat, lon, SURFACE_RADIUS), lat, lon);
    const model = modelBottom(rows, lat, lon, { unseen, mark, levelSd, hasGrid });
    if (model.status === 'no-data') {
      const here = Array.from(index.within(lat, lon, DRY_WITHIN));
      const isDry = here.length > 0 && here.every((row) => survey.depth[row] <= 0);
      context.report(say[isDry ? 'no-data dry' : 'no-data'](undefined, model.soundings, SURFACE_RADIUS));
      return { status: model.status, soundings: model.soundings };
    }
    report(model, context);
    if (levelSd >= SAID) context.report(say['passes-disagree'](undefined, levelSd));
    if (model.status === 'ok' && model.missed !== undefined && isWorthAPass(model.missed.chance)) {
      const { axis } = coverageAt(survey, index, lat, lon);
      context.report(say['missed-form'](undefined, model.missed, axis, fields.declination));
    }
    return {
      status: model.status,
      soundings: model.soundings,
      pass_spacing: model.passSpacing,
      depth: model.depth,
      depth_sd: model.depthSd,
      depth_low: model.interval?.[0],
      depth_high: model.interval?.[1],
      pass_depth: mark && model.passDepth?.depth,
      pass_depth_sd: mark && model.passDepth?.depthSd,
      missed_chance: model.missed?.chance,
      nearest_pass: model.missed?.distance,
      slope: model.slope,
      slope_sd: model.slopeSd,
      aspect: model.aspect,
      aspect_sd: model.aspectSd,
      bottom: model,
    };
  },
});

/** Distance within which all soundings have to be dry for a mark to be called dry, m. */
const DRY_WITHIN = 20;

/** Minimum disagreement between passes that is reported, m, as a standard deviation of the depth. */
const SAID = 0.15;

/** Converts the depth recorded in a mark to the plan's water level; undefined without a positive depth. */
function markSounding(
  waypoint: Waypoint,
  options: Parameters<typeof levelChange>[1] & { readonly units: DisplayUnits },
): MarkSounding | undefined {
  const mark = markDepthOf(waypoint, options.units);
  if (mark === undefined) return undefined;
  const { change, sd } = levelChange(waypoint.time, options);
  const depth = mark.depth + change;
  return depth > 0 ? { depth, sd: Math.hypot(SCREEN_SD, sd), isUnitKnown: mark.isUnitKnown } : undefined;
}

/** Reports why slope, aspect or structure is missing or doubtful. */
function report(model: BottomModel, context: PluginContext): void {
  if (model.status === 'one-pass') context.report(say['one-pass'](undefined));
  if (model.status === 'edge') context.report(say.edge(undefined));
  if (model.status === 'sparse') context.report(say.sparse(undefined, model.passSpacing));
  if (model.slope !== undefined && model.slopeSd !== undefined && model.aspect === undefined) {
    context.report(say.level(undefined, model.slope, model.slopeSd));
  }
}
