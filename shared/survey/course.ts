import { metersPerDegree, wrapLongitude } from '../geo/index.ts';
import { isInterrupted, stepsOf, type Track } from './steps.ts';

/** Distance before and after a row over which its course is measured, m; long compared with jitter. */
const COURSE_WAY = 4;

/**
 * Returns the course at each row as a unit vector, measured from about 4 m before to about 4 m after the row;
 * (0, 0) where the boat moves less than 1 m between these points.
 */
function courseOf(log: Track) {
  const { count, time } = log;
  const steps = stepsOf(log);
  const east = new Float32Array(count);
  const north = new Float32Array(count);
  const isJoined = (i: number): boolean =>
    !isInterrupted(Math.sqrt(steps.east[i] ** 2 + steps.north[i] ** 2), time[i] - time[i - 1]);
  /** Adds up steps, m, from row `first` on in one direction, up to `COURSE_WAY` or an interruption. */
  const wayFrom = (first: number, direction: 1 | -1): [east: number, north: number] => {
    let [x, y] = [0, 0];
    for (
      let j = first;
      j > 0 && j < count && x * x + y * y < COURSE_WAY ** 2 && isJoined(j);
      j += direction
    ) {
      x += steps.east[j];
      y += steps.north[j];
    }
    return [x, y];
  };
  for (let i = 0; i < count; i++) {
    const [back, ahead] = [wayFrom(i, -1), wayFrom(i + 1, 1)];
    const [sumEast, sumNorth] = [back[0] + ahead[0], back[1] + ahead[1]];
    const length = Math.sqrt(sumEast * sumEast + sumNorth * sumNorth);
    // Less than 1 m is jitter.
    if (length < 1) continue;
    east[i] = sumEast / length;
    north[i] = sumNorth / length;
  }
  return { east, north };
}

/** Moves each position by an offset ahead and to the right, m; a row without a course stays where it is. */
export function moveAlongCourse(
  log: Track,
  offset: (row: number) => readonly [ahead: number, right: number],
): { lat: Float64Array; lon: Float64Array } {
  const course = courseOf(log);
  const lat = log.lat.slice();
  const lon = log.lon.slice();
  for (let i = 0; i < log.count; i++) {
    const [ahead, right] = offset(i);
    const [perLat, perLon] = metersPerDegree(lat[i]);
    lat[i] += (ahead * course.north[i] - right * course.east[i]) / perLat;
    if (perLon > 1)
      lon[i] = wrapLongitude(lon[i] + (ahead * course.east[i] + right * course.north[i]) / perLon);
  }
  return { lat, lon };
}
