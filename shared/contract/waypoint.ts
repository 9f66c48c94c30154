import type { FieldValues } from './fields.ts';

export interface Waypoint {
  /** 0-based among all waypoints of the run, in input order. */
  readonly index: number;
  /** Path as the user gave it. */
  readonly file: string;
  /** 0-based among the waypoints of its file. */
  readonly fileIndex: number;
  readonly line: number;
  /** deg, WGS 84. */
  readonly lat: number;
  readonly lon: number;
  readonly name: string;
  /** As written in the file, empty when absent. The same holds for `description`, `symbol` and `type`. */
  readonly comment: string;
  readonly description: string;
  readonly symbol: string;
  readonly type: string;
  /** Depth stated in the file, m, positive down. */
  readonly depth?: number;
  /** False when the file states `depth` without a unit, so meters were assumed. */
  readonly isDepthUnitKnown?: boolean;
  /** Seconds since 1970-01-01 UTC. */
  readonly time?: number;
  /** Fields that an earlier run added to the file; absent if there are none. */
  readonly earlier?: Readonly<Partial<FieldValues>>;
}
