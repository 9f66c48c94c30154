import type { DepthGrid } from '../shared/bottom/model.ts';
import { CAST_OPTIONS, unitsOption } from '../shared/contract/common-options.ts';
import type { DepthRange } from '../shared/contract/options.ts';
import { defineWaypointPlugin, type PluginContext } from '../shared/contract/plugin.ts';
import { toMagnetic } from '../shared/geo/magnetic.ts';
import type { DisplayUnits } from '../shared/geo/units.ts';
import { crossesClosed, zonesAt } from '../shared/geo/zones.ts';
import type { CastPlan } from '../shared/retrieve/cast-plan.ts';
import { type CastRule, downslopeRules, upslopeRules, within } from '../shared/retrieve/cast-rules.ts';
import { hazardsUnder } from '../shared/retrieve/hazards.ts';
import { type CastPlanner, castPlanner, planCast } from '../shared/retrieve/plan-side.ts';
import { leastDepthAround, type NoCast } from '../shared/retrieve/side.ts';
import { LEAST_CONTACT } from '../shared/retrieve/spot-score.ts';
import * as say from '../shared/text/messages/cast.ts';

/** Depth over the draft, two standard deviations off, that a boat position has within its swing or is pointed out, m. */
const DRAFT_MARGIN = 0.3;

/** Where no water is shallower than the fish, the opposite side is turned at least this far from the first one, deg. */
const OPPOSITE = 120;

/** First cast from the deep side, and the opposite side, at each waypoint. */
export const cast = defineWaypointPlugin({
  name: 'cast',
  summary:
    'Boat position, bearing, cast and lure that hold the lure on bottom among the fish longest: from the deep side, and from the shallow side.',
  stage: 'waypoint',
  options: { units: unitsOption, ...CAST_OPTIONS },
  requires: ['bottom', 'fish_top', 'fish_bottom'],
  uses: ['declination', 'fish_source'],
  provides: [
    'lure',
    'lure_depth',
    'downslope_lat',
    'downslope_lon',
    'downslope_depth',
    'downslope_cast_true',
    'downslope_cast_mag',
    'downslope_cast',
    'downslope_landing_lat',
    'downslope_landing_lon',
    'downslope_landing_depth',
    'downslope_contact',
    'downslope_fish_contact',
    'upslope_lat',
    'upslope_lon',
    'upslope_depth',
    'upslope_cast_true',
    'upslope_cast_mag',
    'upslope_cast',
    'upslope_landing_lat',
    'upslope_landing_lon',
    'upslope_landing_depth',
    'upslope_contact',
    'upslope_fish_contact',
    'downslope',
    'upslope',
  ],
  run({ fields, waypoints }, options, context) {
    const { bottom, declination } = fields;
    if (bottom.grid === undefined) {
      context.report(say.noBottom(bottom.status));
      return {};
    }
    const band = { top: fields.fish_top, bottom: fields.fish_bottom };
    const planner = castPlanner(
      bottom,
      bottom.grid,
      band,
      fields.fish_source !== 'depth',
      options,
      waypoints,
    );
    const units = options.units === 'm' ? 'm' : 'ft';
    const { fish } = planner.space;
    const tellMissing = (side: say.Side, { missing, depths }: NoCast, rule: CastRule): void => {
      if (missing === 'boat') context.report(say.noBoatWater(side, depths, rule.boat, options.cast, units));
      else if (missing === 'landing')
        context.report(say.noLanding(side, depths, rule.landing, options.cast, units));
      else if (missing === 'zone') context.report(say.onlyClosed(side, closedNames(planner)));
      else if (missing === 'draft') context.report(say.unsureBoat(side, options.draft, units));
      else context.report(say.noLine(side, options.cast, units));
    };
    const plan = (side: say.Side, rules: readonly CastRule[]): CastPlan | undefined => {
      const found = planCast(planner, rules, side);
      if (!('missing' in found)) return found;
      const opposite = side === 'upslope' && downslope !== undefined ? planOpposite(downslope) : undefined;
      if (opposite === undefined) tellMissing(side, found, rules[rules.length - 1]);
      else context.report(say.oppositeDeepSide());
      return opposite;
    };
    const planOpposite = ({ bearing }: CastPlan): CastPlan | undefined => {
      const sector = { from: bearing + OPPOSITE, to: bearing - OPPOSITE };
      const rules = downslopeRules(fish, options.draft).map((rule) => within(rule, [sector]));
      const found = planCast(planner, rules, 'opposite');
      return 'missing' in found ? undefined : found;
    };
    if (fish.place === 'moved') context.report(say.fishMoved(fish, bottom.depth, units));
    if (fish.place === 'off-bottom')
      context.report(say.fishOffBottom(band, bottom.depth, options.cast, units));
    let downslope: CastPlan | undefined;
    downslope = plan('downslope', downslopeRules(fish, options.draft));
    const upslope = plan('upslope', upslopeRules(fish, options.draft));
    for (const [side, one] of [
      ['downslope', downslope],
      ['upslope', upslope],
    ] as const) {
      if (one === undefined) continue;
      reportCast(side, one, bottom.grid, options.draft, units, context);
      for (const hazard of hazardsUnder(planner.hazards, one.boat, one.landing))
        context.report(say.hazardUnderCast(side, hazard));
      reportZones(side, one, planner, units, context);
    }
    reportLure(downslope ?? upslope, band, units, context);
    reportWind(planner, downslope, upslope, context);
    const first = downslope ?? upslope;
    return {
      lure: first?.lure,
      lure_depth: first?.lureDepth,
      ...sideFields('downslope', downslope, declination),
      ...sideFields('upslope', upslope, declination),
      downslope,
      upslope,
    };
  },
});

/** Fields of one side; absent when the side is. */
function sideFields<S extends say.Side>(
  side: S,
  plan: CastPlan | undefined,
  declination: number | undefined,
): { readonly [K in keyof ReturnType<typeof valuesOf> as `${S}_${K}`]?: number } {
  if (plan === undefined) return {};
  const named = Object.entries(valuesOf(plan, declination)).map(([key, value]) => [`${side}_${key}`, value]);
  return Object.fromEntries(named);
}

const valuesOf = (plan: CastPlan, declination: number | undefined) => ({
  lat: plan.boat.lat,
  lon: plan.boat.lon,
  depth: plan.boat.depth,
  cast_true: plan.bearing,
  cast_mag: declination === undefined ? undefined : toMagnetic(plan.bearing, declination),
  cast: plan.cast,
  landing_lat: plan.landing.lat,
  landing_lon: plan.landing.lon,
  landing_depth: plan.landing.depth,
  contact: plan.contact,
  fish_contact: plan.fishContact,
});

function reportCast(
  side: say.Side,
  plan: CastPlan,
  grid: DepthGrid,
  draft: number,
  units: DisplayUnits,
  context: PluginContext,
): void {
  if (leastDepthAround(grid, plan.boat) < draft + DRAFT_MARGIN)
    context.report(say.shallowBoat(side, plan, draft, units));
  if (plan.fishContact < LEAST_CONTACT) context.report(say.noContact(side));
  if (plan.wind === 'into') context.report(say.intoWind(side, plan, units));
}

/** Slow zones that hold the boat, and closed ones that the cast goes over. */
function reportZones(
  side: say.Side,
  { boat, landing }: CastPlan,
  { zones }: CastPlanner,
  units: DisplayUnits,
  context: PluginContext,
): void {
  for (const { name, speed } of zonesAt(zones, boat.lat, boat.lon))
    if (speed !== undefined) context.report(say.boatInSlow(side, name, speed, units));
  for (const zone of zones)
    if (crossesClosed([zone], boat.lat, boat.lon, landing.lat, landing.lon))
      context.report(say.castOverClosed(side, zone.name));
}

const closedNames = ({ zones }: CastPlanner): string[] =>
  zones.filter(({ rule }) => rule === 'closed').map(({ name }) => name);

function reportLure(
  plan: CastPlan | undefined,
  band: DepthRange,
  units: DisplayUnits,
  context: PluginContext,
): void {
  if (plan?.isLureShort) context.report(say.lureShort(plan, band.bottom, units));
}

/** Which of the two sides lies downwind of the fish, when only one does. */
function reportWind(
  { wind }: CastPlanner,
  downslope: CastPlan | undefined,
  upslope: CastPlan | undefined,
  context: PluginContext,
): void {
  if (wind === undefined || downslope === undefined || upslope === undefined) return;
  if (downslope.wind === 'into' && upslope.wind !== 'into') context.report(say.easierSide('downslope'));
  if (upslope.wind === 'into' && downslope.wind !== 'into') context.report(say.easierSide('upslope'));
}
