import { localRows } from '../shared/bottom/local-rows.ts';
import type { BottomModel } from '../shared/bottom/model.ts';
import { modelBlocked, modelBottom, modelSlope, slopeOfBlocked } from '../shared/bottom/model-bottom.ts';
import { blockCells, SURFACE_RADIUS } from '../shared/bottom/surface.ts';
import { defineWaypointPlugin, type PluginContext } from '../shared/contract/plugin.ts';
import type { SoundingIndex, Survey } from '../shared/contract/soundings.ts';
import { tieSd } from '../shared/survey/ties/tie-sd.ts';
import * as say from '../shared/text/messages/bottom.ts';

/** Depth, slope and aspect from the soundings of idle passes near each waypoint. */
export const bottom = defineWaypointPlugin({
  name: 'bottom',
  summary:
    'Models the bottom round each waypoint from the passes near it: depth, slope and aspect, each with its uncertainty.',
  stage: 'waypoint',
  options: {},
  requires: [],
  provides: [
    'status',
    'soundings',
    'pass_spacing',
    'depth',
    'depth_sd',
    'slope',
    'slope_sd',
    'aspect',
    'aspect_sd',
    'bottom',
  ],
  run({ waypoint, survey, index }, _options, context) {
    const { lat, lon } = waypoint;
    const alone = context.isWanted('bottom')
      ? wholeModel(survey, index, lat, lon)
      : slopeOnly(survey, index, lat, lon);
    report(alone, context);
    if (alone.status === 'no-data') return { status: alone.status, soundings: alone.soundings };
    const doubt = tieSd(survey, index, lat, lon);
    if (doubt >= SAID) context.report(say.passesDisagree(doubt));
    const model = { ...alone, depthSd: Math.hypot(alone.depthSd, doubt) };
    return {
      status: model.status,
      soundings: model.soundings,
      pass_spacing: model.passSpacing,
      depth: model.depth,
      depth_sd: model.depthSd,
      slope: model.slope,
      slope_sd: model.slopeSd,
      aspect: model.aspect,
      aspect_sd: model.aspectSd,
      bottom: model,
    };
  },
});

/** Doubt about a depth from which it is said at the waypoint, m. */
const SAID = 0.15;

/** Where slope alone is asked for, soundings within this distance will do, m, if they are at least so many. */
const SLOPE_RADIUS = 60;
const ENOUGH_FOR_SLOPE = 1500;

function wholeModel(survey: Survey, index: SoundingIndex, lat: number, lon: number): BottomModel {
  const cells = index.crowded?.(lat, lon, SURFACE_RADIUS);
  if (cells !== undefined) return modelBlocked(blockCells(cells, lat, lon, SURFACE_RADIUS), lat, lon);
  return modelBottom(localRows(survey, index.within(lat, lon, SURFACE_RADIUS), lat, lon), lat, lon);
}

function slopeOnly(survey: Survey, index: SoundingIndex, lat: number, lon: number): BottomModel {
  const cells = index.crowded?.(lat, lon, SLOPE_RADIUS);
  if (cells !== undefined) return slopeOfBlocked(blockCells(cells, lat, lon, SLOPE_RADIUS), lat, lon);
  const close = index.within(lat, lon, SLOPE_RADIUS);
  const isEnough = close.length >= ENOUGH_FOR_SLOPE;
  const rows = isEnough ? close : index.within(lat, lon, SURFACE_RADIUS);
  return modelSlope(localRows(survey, rows, lat, lon), lat, lon, isEnough ? SLOPE_RADIUS : SURFACE_RADIUS);
}

/** Says what the soundings do not carry. */
function report(model: BottomModel, context: PluginContext): void {
  if (model.status === 'no-data') context.report(say.noSoundings(model.soundings, SURFACE_RADIUS));
  if (model.status === 'one-pass') context.report(say.onePass());
  if (model.status === 'edge') context.report(say.soundedOnOneSide());
  if (model.status === 'sparse') context.report(say.passesFarApart(model.passSpacing));
  if (model.slope !== undefined && model.slopeSd !== undefined && model.aspect === undefined) {
    context.report(say.noAspect(model.slope, model.slopeSd));
  }
}
