import type { DayPlan } from '../../shared/day/plan.ts';
import { readZones } from '../../shared/geo/zones.ts';
import type { ReportInput } from '../../src/page/report-input.ts';
import { plan } from '../day/lake.ts';

/** Plans a day at the spots of the sample lake, from a ramp 90 m north of the first spot. */
export function samplePlan({ waypoints, survey }: ReportInput): DayPlan {
  const { lat, lon } = waypoints[0].waypoint;
  const input = { waypoints, survey: { ...survey, shallowest: survey.depth as Float32Array } };
  return plan({ input, ramp: `${lat + 0.0008},${lon}` }, { checkIn: '11:00' }).plan!;
}

/** Makes a closed and a slow zone on the sample lake. */
export const sampleZones = (): ReturnType<typeof readZones> =>
  readZones(
    {
      type: 'FeatureCollection',
      features: [
        { rule: 'closed', name: 'dam', east: 0 },
        { rule: 'slow', name: 'marina', speed: '5mph', east: 0.004 },
      ].map(({ east, ...properties }) => ({
        type: 'Feature',
        properties,
        geometry: {
          type: 'Polygon',
          coordinates: [
            [
              [-104.9 + east, 41.199],
              [-104.898 + east, 41.199],
              [-104.898 + east, 41.2],
              [-104.9 + east, 41.2],
              [-104.9 + east, 41.199],
            ],
          ],
        },
      })),
    },
    'zones.geojson',
  );
