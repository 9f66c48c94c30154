import type {
  AreaKind,
  BottomArea,
  BottomLine,
  FieldValues,
  LakeBottom,
  LineKind,
} from '../contract/index.ts';
import { MIN_METERS_PER_DEGREE } from '../geo/index.ts';
import { bilinear } from '../math/index.ts';
import { type GroundLattice, groundOf, nodeOf } from './lake-bottom.ts';

/** Maximum distance of a line that counts for a place, m: about one cast. */
const REACH = 40;
/** Maximum distance at which a place is on the line, m: about the position error of a sonar unit. */
const ON_LINE = 5;
/** Distance on both sides of a line at which the bottom is compared, m. */
const BESIDE = 10;

type LineSide = FieldValues['lake_line_side'];

/** Location of a place on the lake: the nearest line within reach, and the area; absent if there is none. */
export interface LakePlace {
  readonly line?: {
    readonly kind: LineKind;
    /** Distance on the ground, m. */
    readonly distance: number;
    /** `above` and `below` only for a lip or foot; `beside` also where a depth beside the line is unknown. */
    readonly side: LineSide;
    readonly isInferred: boolean;
  };
  /** The smallest area that contains the place. */
  readonly area?: AreaKind;
}

/** Finds the nearest line within 40 m and the smallest area at a place; undefined without a depth there. */
export function placeOnLake(lake: LakeBottom, lat: number, lon: number): LakePlace | undefined {
  const ground = groundOf(lake);
  const at = nodeOf(ground, lat, lon);
  if (Number.isNaN(bilinear(lake, lake.depth, ...at))) return undefined;
  const near = nearestLine(lake, ground, lat, lon, at);
  const area = lake.areas
    .filter(({ rings }) => isInside(rings, lat, lon))
    .reduce<BottomArea | undefined>(
      (least, each) => (least && least.area <= each.area ? least : each),
      undefined,
    );
  return {
    ...(near && {
      line: {
        kind: near.line.kind,
        distance: near.distance,
        side: sideOf(lake, near, at),
        isInferred: near.line.isInferred,
      },
    }),
    ...(area && { area: area.kind }),
  };
}

type Node = readonly [x: number, y: number];

interface NearLine {
  readonly line: BottomLine;
  readonly distance: number;
  /** Nearest place on the line, in nodes. */
  readonly foot: Node;
}

function nearestLine(
  lake: LakeBottom,
  ground: GroundLattice,
  lat: number,
  lon: number,
  at: Node,
): NearLine | undefined {
  const around = (2 * REACH) / MIN_METERS_PER_DEGREE;
  const aroundLon = around / Math.max(0.01, Math.cos((lat * Math.PI) / 180));
  let nearest: NearLine | undefined;
  for (const line of lake.lines) {
    let before: Node | undefined;
    for (const place of line.places) {
      // Most places of a lake are far away and not worth a projection.
      const isNear = Math.abs(place[0] - lat) <= around && Math.abs(place[1] - lon) <= aroundLon;
      const node = isNear ? nodeOf(ground, ...place) : undefined;
      if (node !== undefined) {
        const foot = nearestOnStep(before ?? node, node, at);
        const distance = lake.cell * Math.hypot(foot[0] - at[0], foot[1] - at[1]);
        if (distance <= REACH && (nearest === undefined || distance < nearest.distance))
          nearest = { line, distance, foot };
      }
      before = node;
    }
  }
  return nearest;
}

function nearestOnStep(from: Node, to: Node, at: Node): Node {
  const [dx, dy] = [to[0] - from[0], to[1] - from[1]];
  const length = dx * dx + dy * dy;
  const share = length === 0 ? 0 : ((at[0] - from[0]) * dx + (at[1] - from[1]) * dy) / length;
  const t = Math.max(0, Math.min(1, share));
  return [from[0] + t * dx, from[1] + t * dy];
}

/** Tells on which side of a line a place is. Both sides of a crest or thalweg are alike. */
function sideOf(lake: LakeBottom, { line, distance, foot }: NearLine, at: Node): LineSide {
  if (distance <= ON_LINE) return 'on';
  if (line.kind === 'crest' || line.kind === 'thalweg') return 'beside';
  const [ux, uy] = [(lake.cell * (at[0] - foot[0])) / distance, (lake.cell * (at[1] - foot[1])) / distance];
  const depthAt = (meters: number): number =>
    bilinear(lake, lake.depth, foot[0] + (meters * ux) / lake.cell, foot[1] + (meters * uy) / lake.cell);
  const deeper = depthAt(BESIDE) - depthAt(-BESIDE);
  return Number.isNaN(deeper) ? 'beside' : deeper > 0 ? 'below' : 'above';
}

/** Tells whether a place is inside an area, by the even-odd rule: a hole in the area is outside. */
function isInside(rings: BottomArea['rings'], lat: number, lon: number): boolean {
  let inside = false;
  for (const ring of rings) {
    for (let k = 1; k < ring.length; k++) {
      // Most edges do not cross the latitude of the place and are not worth unpacking.
      if (ring[k - 1][0] > lat === ring[k][0] > lat) continue;
      const [[lat1, lon1], [lat2, lon2]] = [ring[k - 1], ring[k]];
      if (lon < lon1 + ((lat - lat1) / (lat2 - lat1)) * (lon2 - lon1)) inside = !inside;
    }
  }
  return inside;
}
