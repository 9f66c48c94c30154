import { defineWaypointPlugin, type EarlierCast } from '../shared/contract/index.ts';

export const earlierCasts = defineWaypointPlugin({
  name: 'earlier-casts',
  summary:
    'Reads the casts of an earlier plan when its output is enriched again; a cast stays unless another is clearly better.',
  stage: 'waypoint',
  options: {},
  requires: [],
  provides: ['earlier'],
  run({ waypoint: { earlier = {} } }) {
    const castOf = (side: 'downslope' | 'upslope'): EarlierCast | undefined => {
      const [lat, lon] = [earlier[`${side}_lat`], earlier[`${side}_lon`]];
      const [toLat, toLon] = [earlier[`${side}_landing_lat`], earlier[`${side}_landing_lon`]];
      if (lat === undefined || lon === undefined || toLat === undefined || toLon === undefined)
        return undefined;
      return { boat: { lat, lon }, landing: { lat: toLat, lon: toLon } };
    };
    const [downslope, upslope] = [castOf('downslope'), castOf('upslope')];
    return downslope === undefined && upslope === undefined ? {} : { earlier: { downslope, upslope } };
  },
});
