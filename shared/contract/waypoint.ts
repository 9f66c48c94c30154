import type { FieldValues } from './fields.ts';

/** A waypoint from the user's files, with its file and its position in that file. */
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
  /** Comment, description and other texts as written in the file; empty when absent. */
  readonly comment: string;
  readonly description: string;
  readonly symbol: string;
  readonly type: string;
  /** Depth that the file states for the waypoint, m, positive down. */
  readonly depth?: number;
  /** False when the file gives no unit with that depth, so meters were assumed. */
  readonly isDepthUnitKnown?: boolean;
  /** Seconds since 1970-01-01 UTC. */
  readonly time?: number;
  /** What an earlier run found, read back from the fields that it added to the file; absent without them. */
  readonly earlier?: Readonly<Partial<FieldValues>>;
}
