import { localRows } from '../shared/bottom/local-rows.ts';
import type { BottomModel } from '../shared/bottom/model.ts';
import { modelBlocked } from '../shared/bottom/model-bottom.ts';
import { blockCells, blockSoundings, SURFACE_RADIUS } from '../shared/bottom/surface.ts';
import { defineWaypointPlugin, type PluginContext } from '../shared/contract/plugin.ts';
import type { SoundingIndex, Survey } from '../shared/contract/soundings.ts';
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
    const model = modelAt(survey, index, lat, lon, context.isWanted('bottom'));
    report(model, context);
    if (model.status === 'no-data') return { status: model.status, soundings: model.soundings };
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

function modelAt(
  survey: Survey,
  index: SoundingIndex,
  lat: number,
  lon: number,
  hasGrid: boolean,
): BottomModel {
  const cells = index.crowded?.(lat, lon, SURFACE_RADIUS);
  const blocked =
    cells === undefined
      ? blockSoundings(localRows(survey, index.within(lat, lon, SURFACE_RADIUS), lat, lon))
      : blockCells(cells, lat, lon, SURFACE_RADIUS);
  return modelBlocked(blocked, lat, lon, { hasGrid });
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
