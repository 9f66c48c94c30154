import { mapKeys } from 'es-toolkit/object';
import {
  type CastPlan,
  type DepthGrid,
  type Diagnostic,
  type DisplayUnits,
  defineWaypointPlugin,
  type FieldValues,
  SIDE_FIELDS,
  type SideField,
  type Waypoint,
} from '../shared/contract/index.ts';
import { crossesClosed, toMagnetic, zonesAt } from '../shared/geo/index.ts';
import {
  BY_BOAT,
  CAST_OPTIONS,
  type CastPlanner,
  castPlanner,
  deepestFish,
  hazardsUnder,
  isPlan,
  leastDepthAround,
  OVER_MARK,
  otherMarksAt,
  planSides,
  type SideName,
  type Sides,
  castMessages as say,
  unitsOption,
} from '../shared/retrieve/index.ts';
import { castName } from '../shared/text/index.ts';

/** Minimum water below the hull around a boat position, m; with less, the position gets a warning. */
const DRAFT_MARGIN = 0.3;
/** Maximum lure depth as a multiple of the fish band's maximum depth; a deeper lure plows into the bottom. */
const PLOWS = 1.5;

const fieldsOf = <S extends SideName>(side: S) => SIDE_FIELDS.map((name) => `${side}_${name}` as const);

/** Up to two casts at each waypoint, usually from the deep side and from the shallow side. */
export const cast = defineWaypointPlugin({
  name: 'cast',
  summary:
    'Finds the boat position, bearing, cast and lure that keep the lure on bottom among the fish longest, from the deep side and from the shallow side.',
  stage: 'waypoint',
  options: { units: unitsOption, ...CAST_OPTIONS },
  requires: ['bottom', 'fish_top', 'fish_bottom'],
  uses: ['declination', 'fish_source', 'earlier'],
  provides: ['lure', 'lure_depth', ...fieldsOf('downslope'), ...fieldsOf('upslope'), 'downslope', 'upslope'],
  run({ fields, waypoints }, options, context) {
    const { bottom, declination } = fields;
    const { grid } = bottom;
    if (grid === undefined) {
      context.report(say['no-bottom'](undefined));
      return {};
    }
    const band = { top: fields.fish_top, bottom: fields.fish_bottom };
    const fish = { band, isStated: fields.fish_source !== 'depth' };
    const planner = castPlanner(bottom, grid, fish, options, waypoints);
    const { units } = options;
    const sides = planSides(planner, fields.earlier);
    const downslope = isPlan(sides.downslope) ? sides.downslope : undefined;
    const upslope = isPlan(sides.upslope) ? sides.upslope : undefined;
    const plans = [downslope, upslope].filter((plan) => plan !== undefined);
    const ownHazards = planner.hazards.filter(({ isMark }) => isMark);
    const said = [
      ...onFish(planner, fields, options.cast, units, declination),
      ...onSides(sides, planner, options.cast, units),
      ...plans.flatMap((plan) => [
        ...onCast(plan, grid, planner, units, declination),
        ...onZones(plan, planner, units),
      ]),
      ...(plans.length === 0 ? [] : ownHazards.map((hazard) => say['on-hazard'](undefined, hazard))),
      ...onMarks(plans, planner, waypoints, units),
      ...onLure(sides, planner, options.lures !== undefined, units),
      ...onWind(planner, downslope, upslope),
    ];
    said.forEach(context.report);
    const first = downslope ?? upslope;
    return {
      lure: first?.lure,
      lure_depth: first?.lureDepth,
      ...sideFields('downslope', downslope, downslope, declination),
      ...sideFields('upslope', upslope, downslope, declination),
      downslope,
      upslope,
    };
  },
});

function sideFields<S extends SideName>(
  side: S,
  plan: CastPlan | undefined,
  first: CastPlan | undefined,
  declination: number | undefined,
): Partial<Pick<FieldValues, `${S}_${SideField}`>> {
  if (plan === undefined) return {};
  const values: Record<SideField, unknown> = {
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
    fish_contact_sd: plan.fishContactSd,
    worth: plan.worth,
    equal_true: plan.equalBearing,
    kind: castName(plan.kind, first?.kind),
  };
  return mapKeys(values, (_, name) => `${side}_${name}`) as ReturnType<typeof sideFields<S>>;
}

type FishFields = Pick<FieldValues, 'bottom' | 'fish_top' | 'fish_bottom'> &
  Partial<Pick<FieldValues, 'fish_source'>>;

/** Reports fish whose stated depths differ from the bottom at the mark, and where they are assumed to be. */
function onFish(
  { space: { fish } }: CastPlanner,
  { bottom: { depth }, fish_top: top, fish_bottom: bottom, fish_source: source }: FishFields,
  cast: number,
  units: DisplayUnits,
  declination: number | undefined,
): Diagnostic[] {
  const stated = { top, bottom };
  if (fish.place === 'moved') return [say['fish-moved'](undefined, fish, depth, units, declination)];
  if (fish.place === 'off-bottom') return [say['fish-off-bottom'](undefined, stated, depth, units)];
  if (fish.place === 'below-bottom')
    return [say['fish-below-bottom'](undefined, stated, depth, cast, source === 'note', units)];
  return [];
}

/** Reports sides without a cast, level bottom, and an opposite side in place of the shallow side. */
function onSides(
  { downslope, upslope, level }: Sides,
  planner: CastPlanner,
  cast: number,
  units: DisplayUnits,
): Diagnostic[] {
  const said: Diagnostic[] = [];
  const isAlone = !isPlan(downslope) && !isPlan(upslope);
  if (!isPlan(downslope)) said.push(say.noCast('downslope', isAlone, downslope, planner, cast, units));
  if (!isPlan(upslope) && upslope !== downslope)
    said.push(say.noCast('upslope', isAlone, upslope, planner, cast, units));
  if (level !== undefined) said.push(say.flat(undefined, level, units));
  if (isPlan(downslope) && downslope.kind === 'downslope' && isPlan(upslope) && upslope.kind === 'opposite')
    said.push(say['opposite-deep-side'](undefined));
  return said;
}

function onCast(
  plan: CastPlan,
  grid: DepthGrid,
  { draft, hazards }: CastPlanner,
  units: DisplayUnits,
  declination: number | undefined,
): Diagnostic[] {
  const { boat, landing, equalBearing } = plan;
  return [
    ...(leastDepthAround(grid, boat) < draft + DRAFT_MARGIN ? [say.shallowBoat(plan, units)] : []),
    ...(equalBearing === undefined ? [] : [say['equal-side'](undefined, plan, equalBearing, declination)]),
    ...(plan.wind === 'into' ? [say['into-wind'](undefined, plan, units)] : []),
    ...hazardsUnder(hazards, boat, landing).map((hazard) => say.hazard(undefined, plan, hazard)),
  ];
}

/** Reports slow zones that the boat sits in, and closed zones that the cast goes over. */
function onZones(plan: CastPlan, { zones }: CastPlanner, units: DisplayUnits): Diagnostic[] {
  const { boat, landing } = plan;
  return [
    ...zonesAt(zones, boat.lat, boat.lon).flatMap(({ name, speed }) =>
      speed === undefined ? [] : [say['slow-zone'](undefined, plan, name, speed, units)],
    ),
    ...zones
      .filter((zone) => crossesClosed([zone], boat.lat, boat.lon, landing.lat, landing.lon))
      .map(({ name }) => say['over-closed'](undefined, plan, name)),
  ];
}

/** Reports other marks that a cast goes over or a boat sits by, except marks that are hazards. */
function onMarks(
  plans: readonly CastPlan[],
  { frame, hazards }: CastPlanner,
  waypoints: readonly Waypoint[],
  units: DisplayUnits,
): Diagnostic[] {
  const { crossed, crowded } = otherMarksAt(plans, frame, waypoints);
  const hazardous = hazards.map(({ name }) => name);
  const [over, by] = [crossed, crowded].map((names) => names.filter((name) => !hazardous.includes(name)));
  if (over.length + by.length === 0) return [];
  return [say['other-marks'](undefined, over, by, { over: OVER_MARK, by: BY_BOAT }, units)];
}

/** Reports a lure that does not reach the fish or plows into the bottom, on the first cast given. */
function onLure(
  { downslope, upslope }: Sides,
  { space: { fish, tackle } }: CastPlanner,
  hasBox: boolean,
  units: DisplayUnits,
): Diagnostic[] {
  // Without a cast, the lure of the best one that was found tells why.
  const sides = [downslope, upslope];
  const first = sides.find(isPlan) ?? sides.flatMap((side) => (isPlan(side) ? [] : (side.plan ?? [])))[0];
  if (first === undefined) return [];
  const deepest = deepestFish(fish);
  // A lure that is not the deepest was picked for a depth that the mark states and the sonar contradicts.
  if (first.isLureShort && first.lure !== tackle.lures.at(-1)!.name) return [];
  if (first.isLureShort) return [say['lure-short'](undefined, first, deepest, hasBox, units)];
  return first.lureDepth > PLOWS * fish.band.bottom
    ? [
        say['lure-ploughs'](
          undefined,
          first,
          deepest,
          { hasBox, isSuspended: fish.place === 'off-bottom' },
          units,
        ),
      ]
    : [];
}

/** Reports the side that casts into the wind, if only one does: wind moves that boat away from the fish. */
function onWind(
  { wind }: CastPlanner,
  downslope: CastPlan | undefined,
  upslope: CastPlan | undefined,
): Diagnostic[] {
  if (wind === undefined || downslope === undefined || upslope === undefined) return [];
  if (downslope.wind === 'into' && upslope.wind !== 'into') return [say['easier-side'](undefined, downslope)];
  if (upslope.wind === 'into' && downslope.wind !== 'into') return [say['easier-side'](undefined, upslope)];
  return [];
}
