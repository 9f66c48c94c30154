import type { Diagnostic, Waypoint } from '../../../shared/contract/index.ts';
import type { BoatEdits } from './boat-edits.ts';
import type { GivenOut } from './given-out.ts';

export type GpxVersion = '1.0' | '1.1';

/** Bytes `[start, end)` of a document's UTF-8 form. */
export interface Span {
  readonly start: number;
  readonly end: number;
}

/** A waypoint of a GPX file, without what an earlier run of ours added to it. */
export interface GpxWaypoint extends Omit<Waypoint, 'index'> {
  /** False when its coordinates cannot be used, or it is a stop of a day plan: it stays in the file as it is. */
  readonly canEnrich: boolean;
  /** True when comment or description held a summary of an earlier run. */
  readonly isSummarized: boolean;
  /** Set when it is a boat position that an earlier run added; never to be enriched. */
  readonly partner?: PartnerMark;
  /** Where its parts stand in the file. */
  readonly place: WaypointPlace;
}

/** How a boat position was recognized. */
export interface PartnerMark {
  /**
   * `ledger`: by the record of what was given out; `element`: by our own element; `signature`: by its type or comment; `name`: by
   * name and place only, so it is kept and never replaced; `moved`: by our element or the
   * record, but the user moved it, so it is kept.
   */
  readonly by: 'ledger' | 'element' | 'signature' | 'name' | 'moved';
  /** `fileIndex` of its waypoint, when known. */
  readonly of?: number;
  /** Suffix of its name, when known. */
  readonly suffix?: string;
  /** What the user put on it. */
  readonly edits?: BoatEdits;
}

/** Where a waypoint's parts stand, as offsets into the UTF-8 form of its document. */
export interface WaypointPlace extends Span {
  /** End of the start tag, after its `>`. */
  readonly startTagEnd: number;
  readonly isSelfClosing: boolean;
  /** Name of the tag as written, with its prefix. */
  readonly tag: string;
  /** Namespace of the tag; empty without one. */
  readonly uri: string;
  /** Child elements in order, ours among them. */
  readonly children: readonly ElementPlace[];
}

export interface ElementPlace extends Span {
  readonly startTagEnd: number;
  readonly isSelfClosing: boolean;
  readonly tag: string;
  readonly local: string;
  readonly uri: string;
  /** Children of `extensions`, and of our own element; absent elsewhere. */
  readonly children?: readonly ElementPlace[];
  /** Attributes by local name, of our own elements only. */
  readonly attributes?: Readonly<Record<string, string>>;
  /** Text of our own elements, and of those children of a waypoint that are read. */
  readonly text?: string;
}

/** A GPX file as read: what it holds and where. */
export interface GpxDocument {
  /** Path as the user gave it. */
  readonly file: string;
  /** The file as it is, after repair if that was asked. */
  readonly bytes: Uint8Array;
  /** The same in UTF-8, with its byte-order mark if it has one; `bytes` itself when that is UTF-8. */
  readonly utf8: Uint8Array;
  /** Name of the encoding, as iconv-lite knows it. */
  readonly encoding: string;
  readonly version: GpxVersion;
  /** The name that the file gives itself, on one line; absent when it gives none. */
  readonly title?: string;
  readonly waypoints: readonly GpxWaypoint[];
  readonly diagnostics: readonly Diagnostic[];
  readonly root: RootPlace;
  readonly counts: GpxCounts;
  /** Where routes and tracks stand, in order. */
  readonly lines: readonly Span[];
}

/** What a file holds besides waypoints, counted. */
export interface GpxCounts {
  readonly routes: number;
  readonly tracks: number;
  readonly trackPoints: number;
  /** Elements and attributes in our namespace, wherever they stand. */
  readonly ours: number;
}

/** Where the root element stands, and the namespaces it declares. */
export interface RootPlace extends Span {
  readonly tag: string;
  readonly uri: string;
  readonly isSelfClosing: boolean;
  /** End of the start tag, after its `>`. */
  readonly startTagEnd: number;
  /** Start of the end tag; equals `startTagEnd` for a self-closing root. */
  readonly endTagStart: number;
  /** Namespace by prefix, as declared on the root; '' is the default namespace. */
  readonly namespaces: Readonly<Record<string, string>>;
  /** Every prefix declared anywhere, with all namespaces it stands for. */
  readonly prefixes: ReadonlyMap<string, ReadonlySet<string>>;
}

/** One value that goes into our element: a field's name as in the registry, text as it is to be shown. */
export interface AddedValue {
  readonly name: string;
  readonly value: string;
  readonly unit?: string;
}

/** A boat position to be placed after its waypoint. */
export interface PartnerAddition {
  /** What is put after the waypoint's name, without the blank: `D` or `U`. */
  readonly suffix: string;
  /** deg, WGS 84. */
  readonly lat: number;
  readonly lon: number;
  /** One line, ASCII: `Boat 25ft, cast 214M 48yd to 9ft, ...`. */
  readonly comment: string;
  readonly values: readonly AddedValue[];
  /** Absent for the usual one of its side. */
  readonly symbol?: string;
  /** True for a position of a plugin: its name makes way for names in the file. */
  readonly isPlugins?: boolean;
  /** What the user put on the one that it takes the place of. */
  readonly edits?: BoatEdits;
}

/** Everything a run adds to one waypoint. */
export interface WaypointAddition {
  readonly fileIndex: number;
  readonly values: readonly AddedValue[];
  /** One line, put at the end of `cmt`; nothing when empty. */
  readonly comment: string;
  readonly partners: readonly PartnerAddition[];
}

/** One file of the output: `suffix` is empty, or `-1`, `-2` ... when the waypoints were split over several. */
export interface EnrichedPart {
  readonly suffix: string;
  readonly bytes: Uint8Array;
  readonly waypoints: number;
}

export interface EnrichedGpx {
  readonly parts: readonly EnrichedPart[];
  /** Boat positions as they were written. */
  readonly given: readonly GivenOut[];
  readonly diagnostics: readonly Diagnostic[];
}
