import { makeLake } from '../../fixtures/lakes/lake.ts';
import { simulateSurvey, toSoundings } from '../../fixtures/lakes/survey.ts';
import { type LakeBottom, LINE_KINDS, type Soundings } from '../../shared/contract/index.ts';
import { localFrame } from '../../shared/geo/index.ts';
import { lakeBottom } from '../../shared/lake/lake-bottom.ts';
import { makeLakeModel } from '../../shared/lake/lake-model.ts';
import { placeOnLake } from '../../shared/lake/lake-place.ts';
import { wordOnLake } from '../../shared/structure/index.ts';

/** Seed of the synthetic lake. */
const SEED = 85_000_000;
/** Number of compared places along each side of the lake. */
const PLACES = 20;
/** Maximum distance between lines that count as the same, m: half the node spacing. */
const SAME = 2.5;

type Point = readonly [east: number, north: number];
type Move = (east: number, north: number) => [number, number];

const turned = (degrees: number): Move => {
  const [c, s] = [Math.cos((degrees * Math.PI) / 180), Math.sin((degrees * Math.PI) / 180)];
  return (east, north) => [c * east - s * north, s * east + c * north];
};

/** Transformations of the whole lake relative to the lattice of the model. */
const MOVES: readonly (readonly [name: string, move: Move])[] = [
  ['moved by less than a node', (east, north) => [east + 2.5, north + 1.3]],
  ['turned by 90 deg', turned(90)],
  ['turned by 180 deg', turned(180)],
  ['turned by 30 deg', turned(30)],
  ['mirrored', (east, north) => [-east, north]],
];

const frame = localFrame(37, -86);

/** Compares the lines, words and distances of a lake with those found after each of `MOVES`. */
export function printMoved(print: (line: string) => void): void {
  const made = makeLake({ seed: SEED, family: 'c', roughness: 0.02, perWord: 2 });
  const center = [made.width / 2, made.height / 2] as const;
  const soundings = toSoundings(
    simulateSurvey(made, { seed: SEED, spacing: 25, center, radius: Math.hypot(...center) }),
    frame.lat,
    frame.lon,
  );
  const places = [
    ...made.marks.map(({ east, north }): Point => [east, north]),
    ...Array.from(
      { length: PLACES ** 2 },
      (_, k): Point => [
        (((k % PLACES) + 0.5) / PLACES) * made.width,
        ((Math.floor(k / PLACES) + 0.5) / PLACES) * made.height,
      ],
    ),
  ];
  const own = bottomOf(soundings);
  if (own === undefined) return;
  for (const [name, move] of MOVES) {
    const other = bottomOf(movedBy(soundings, move));
    if (other === undefined) continue;
    const pairs = places.map((at) => [seenAt(own, at), seenAt(other, move(...at))] as const);
    const same = (is: (a: Seen, b: Seen) => boolean): string =>
      (pairs.filter(([a, b]) => is(a, b)).length / pairs.length).toFixed(3);
    const apart = pairs
      .flatMap(([{ line: a }, { line: b }]) =>
        a !== undefined && a.kind === b?.kind ? Math.abs(a.distance - b.distance) : [],
      )
      .sort((a, b) => a - b);
    const at = (share: number): string => apart[Math.floor(share * apart.length)].toFixed(1);
    print(
      `lake ${name}: same word ${same((a, b) => a.word === b.word)}, line and side ${same((a, b) => a.line?.kind === b.line?.kind && a.line?.side === b.line?.side)}, area ${same((a, b) => a.area === b.area)} of ${pairs.length}; change of the distance to the line, median ${at(0.5)} m, p90 ${at(0.9)} m; lines within ${SAME} m ${linesWithin(own, other, move).toFixed(3)}`,
    );
  }
}

type Seen = ReturnType<typeof seenAt>;

function seenAt(lake: LakeBottom, at: Point) {
  const place = frame.toGeographic(...at);
  const { line, area } = placeOnLake(lake, ...place) ?? {};
  return { word: wordOnLake(lake, ...place), line, area };
}

function bottomOf(soundings: Soundings): LakeBottom | undefined {
  const model = makeLakeModel(soundings);
  return model && lakeBottom(model.grid, model.lines, model.areas);
}

function movedBy(soundings: Soundings, move: Move): Soundings {
  const places = Array.from(soundings.lat, (lat, k) =>
    frame.toGeographic(...move(...frame.toLocal(lat, soundings.lon[k]))),
  );
  return {
    ...soundings,
    lat: Float64Array.from(places, ([lat]) => lat),
    lon: Float64Array.from(places, ([, lon]) => lon),
  };
}

/**
 * Returns the share, by length, of both lakes' lines with a line of the same kind within `SAME` on the other
 * lake.
 */
function linesWithin(own: LakeBottom, other: LakeBottom, move: Move): number {
  const shares = LINE_KINDS.flatMap((kind) => {
    const mine = pointsOf(own, kind).map((at) => move(...at));
    const theirs = pointsOf(other, kind);
    return [nearTo(mine, theirs), nearTo(theirs, mine)].flat();
  });
  return shares.filter((isNear) => isNear).length / shares.length;
}

/** Returns points along the lines of one kind, at most 1 m apart. */
const pointsOf = ({ lines }: LakeBottom, kind: string): Point[] =>
  lines
    .filter((line) => line.kind === kind)
    .flatMap(({ places }) => {
      const ends = places.map(([lat, lon]) => frame.toLocal(lat, lon));
      return ends.slice(1).flatMap(([x1, y1], k) => {
        const [x0, y0] = ends[k];
        const count = Math.max(1, Math.ceil(Math.hypot(x1 - x0, y1 - y0)));
        return Array.from(
          { length: count },
          (_, s): Point => [x0 + ((x1 - x0) * s) / count, y0 + ((y1 - y0) * s) / count],
        );
      });
    });

function nearTo(points: readonly Point[], others: readonly Point[]): boolean[] {
  const cells = new Map<string, Point[]>();
  for (const at of others) {
    const key = `${Math.floor(at[0] / SAME)} ${Math.floor(at[1] / SAME)}`;
    cells.set(key, [...(cells.get(key) ?? []), at]);
  }
  return points.map(([x, y]) => {
    const [column, row] = [Math.floor(x / SAME), Math.floor(y / SAME)];
    return [-1, 0, 1].some((dy) =>
      [-1, 0, 1].some((dx) =>
        cells.get(`${column + dx} ${row + dy}`)?.some(([ox, oy]) => Math.hypot(ox - x, oy - y) <= SAME),
      ),
    );
  });
}
