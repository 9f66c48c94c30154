/** Length of a foot, m. */
const feet = 0.3048;

/**
 * Makes a rounded point that runs out on a bearing. It is 10 ft deep on top and falls evenly to 30 ft over
 * `run` meters, on its sides as at its tip. The mark is in 15 ft, `turn` degrees around from the tip.
 *
 * The numbers are rules of thumb without a published source.
 */
export const roundedPoint = (run: number, bearing: number, turn: number, radius = 12) => {
  const slope = 20 / run;
  const out = ((bearing + turn) * Math.PI) / 180;
  const away = radius + 5 / slope;
  const [markEast, markNorth] = [away * Math.sin(out), away * Math.cos(out)];
  const axis = (bearing * Math.PI) / 180;
  return (east: number, north: number): number => {
    const e = east + markEast;
    const n = north + markNorth;
    const along = e * Math.sin(axis) + n * Math.cos(axis);
    const across = e * Math.cos(axis) - n * Math.sin(axis);
    const distance = along > 0 ? Math.hypot(along, across) : Math.abs(across);
    return feet * Math.min(Math.max(10 + slope * (distance - radius), 10), 30);
  };
};

/** Points of the worked example: run, m, bearing and turn, deg. */
export const WORKED_POINTS = [58, 65, 72, 80, 90].flatMap((run) =>
  [0, 77, 143, 205, 290].map((bearing) => [run, bearing, (bearing % 3) * 20 - 20] as const),
);
