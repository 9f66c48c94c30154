import { quantile } from 'd3-array';
import { bearingOf } from '../../shared/geo/local-frame.ts';
import { turnBetween } from '../../shared/retrieve/cast-rules.ts';
import { bottomOf } from '../retrieve/analytic-bottom.ts';
import { roundedPoint, WORKED_POINTS } from '../retrieve/worked-example.ts';
import { planMark } from './cast-marks.ts';

/** Meters per foot. */
const feet = 0.3048;
const BAND = { top: 12 * feet, bottom: 18 * feet };

/** Prints boat, landing and bearing of the casts of the worked example. */
export function printWorkedExample(print: (line: string) => void): void {
  const found = WORKED_POINTS.flatMap(([run, bearing, turn]) => {
    const bottom = bottomOf(roundedPoint(run, bearing, turn));
    const { downslope } = planMark(bottom, { stated: BAND });
    const [east, north] = bottom.gradient ?? [0, 0];
    const uphill = bearingOf(-east, -north);
    return downslope === undefined
      ? []
      : [
          {
            boat: downslope.boat.depth / feet,
            landing: downslope.landing.depth / feet,
            off: turnBetween(downslope.bearing, uphill),
          },
        ];
  });
  const spread = (of: (one: (typeof found)[number]) => number): string =>
    [0, 0.05, 0.5, 0.95, 1].map((p) => (quantile(found, p, of) ?? Number.NaN).toFixed(1)).join(' ');
  print(
    `worked example, ${WORKED_POINTS.length} points, ${found.length} with a deep-side cast; minimum, p5, median, p95, maximum:`,
  );
  print(`  depth at the boat, ft (goal 19.5 to 22.5): ${spread(({ boat }) => boat)}`);
  print(`  depth at the landing, ft (goal 10 to 12.5): ${spread(({ landing }) => landing)}`);
  print(`  angle from the fall line, deg (goal p95 at most 40): ${spread(({ off }) => off)}`);
}
