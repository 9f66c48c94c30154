import type { FieldValues } from './fields.ts';

/** A waypoint of the user's, as read; it knows its file and its place in it. */
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
  /** Comment, description and other texts as in the file; empty when absent. */
  readonly comment: string;
  readonly description: string;
  readonly symbol: string;
  readonly type: string;
  /** Depth that the file itself states for the waypoint, m, positive down. */
  readonly depth?: number;
  /** False when the file writes no unit with that depth, so that meters were assumed. */
  readonly isDepthUnitKnown?: boolean;
  /** Seconds since 1970-01-01 UTC. */
  readonly time?: number;
  /** What an earlier run found, as its own additions to the file say; absent without them. */
  readonly earlier?: Readonly<Partial<FieldValues>>;
}
