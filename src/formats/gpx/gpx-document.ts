import type { Diagnostic, Place, Waypoint } from '../../../shared/contract/index.ts';
import type { LedgerEntry } from './match-ledger.ts';

export type GpxVersion = '1.0' | '1.1';

/** A user's changes to a boat position that we wrote. */
export interface BoatEdits {
  /** The user's part of the comment and description. */
  readonly note?: string;
  readonly symbol?: string;
}

/** Bytes `[start, end)` of a document's UTF-8 form. */
export interface Span {
  readonly start: number;
  readonly end: number;
}

/**
 * A waypoint of a GPX file. Comment and description are without our summary. If an earlier run changed the
 * name and recorded the user's, the name is the user's.
 */
export interface GpxWaypoint extends Omit<Waypoint, 'index'> {
  /** False for unusable coordinates and for a place of a day plan; the waypoint then gets no additions. */
  readonly canEnrich: boolean;
  /** True when the file's comment or description has a summary from an earlier run. */
  readonly isSummarized: boolean;
  /** Set for a boat position of an earlier run, which must never be enriched. */
  readonly partner?: PartnerMark;
  readonly place: WaypointPlace;
}

export const markPlace = ({ file, line, name }: GpxWaypoint): Place => ({ file, line, waypoint: name });

/** How a boat position was recognized, and what is known of it. */
export interface PartnerMark {
  /**
   * Evidence for a boat position. `ledger`: our record of what was written. `element`: our own element.
   * `signature`: the type or comment. `name`: only the name and place, so the waypoint is never replaced.
   * `moved`: our element or the record, but the user moved the boat position or probably did, so it is kept.
   */
  readonly by: 'ledger' | 'element' | 'signature' | 'name' | 'moved';
  /** `fileIndex` of the mark that the boat position belongs to, if known. */
  readonly of?: number;
  /** Suffix of the boat position's name, if known. */
  readonly suffix?: string;
  readonly edits?: BoatEdits;
}

/** Position of an element, as offsets into the UTF-8 form of its document. */
interface TagPlace extends Span {
  /** Offset after the `>` of the start tag. */
  readonly startTagEnd: number;
  readonly isSelfClosing: boolean;
  /** Name of the tag as written, with its prefix. */
  readonly tag: string;
  /** Namespace of the tag; empty when it has none. */
  readonly uri: string;
}

export interface ElementPlace extends TagPlace {
  readonly local: string;
  /** Recorded child elements: children of a waypoint and of `extensions`, our elements, and the depth. */
  readonly children?: readonly ElementPlace[];
  /** Attributes by local name; only for our own elements and for `depth`. */
  readonly attributes?: Readonly<Record<string, string>>;
  /** Text of our own elements, of the waypoint's depth, and of children such as `name`; empty for others. */
  readonly text?: string;
}

export interface WaypointPlace extends ElementPlace {
  /** Child elements in order, including ours. */
  readonly children: readonly ElementPlace[];
}

/** A GPX file as read: its contents and their positions. */
export interface GpxDocument {
  /** Path as the user gave it. */
  readonly file: string;
  /** Bytes of the file, after repair if that was requested. */
  readonly bytes: Uint8Array;
  /** Text of the file in UTF-8, with any byte-order mark; the same array as `bytes` if the file is UTF-8. */
  readonly utf8: Uint8Array;
  /** Name of the encoding in iconv-lite. */
  readonly encoding: string;
  readonly version: GpxVersion;
  /** Name that the file gives itself, on one line; absent when there is none. */
  readonly title?: string;
  readonly waypoints: readonly GpxWaypoint[];
  readonly diagnostics: readonly Diagnostic[];
  readonly root: RootPlace;
  readonly counts: { readonly routes: number; readonly tracks: number; readonly trackPoints: number };
  /** Offsets after the start tags that use our namespace, one per element or attribute in the namespace. */
  readonly ours: readonly number[];
  /** Positions of routes and tracks, in order. */
  readonly lines: readonly Span[];
}

/** Position of the root element, and the namespaces declared on it. */
export interface RootPlace extends TagPlace {
  /** Start of the end tag; equal to `startTagEnd` for a self-closing root. */
  readonly endTagStart: number;
  /** Namespace by prefix, as declared on the root; '' is the default namespace. */
  readonly namespaces: Readonly<Record<string, string>>;
  /** Every prefix declared anywhere in the file, with all its namespaces. */
  readonly prefixes: ReadonlyMap<string, ReadonlySet<string>>;
}

/** One value in our element: the name of its tag, the text to show, and its unit if it has one. */
export interface AddedValue {
  readonly name: string;
  readonly value: string;
  readonly unit?: string;
}

/** A boat position to be inserted after its waypoint. */
export interface PartnerAddition {
  /** Text added to the waypoint's name after a blank, such as `D`. */
  readonly suffix: string;
  /** Latitude, deg, WGS 84. */
  readonly lat: number;
  /** Longitude, deg, WGS 84. */
  readonly lon: number;
  /** One line, such as `Boat 25ft, cast 214M 48yd to 9ft, ...`. */
  readonly comment: string;
  readonly values: readonly AddedValue[];
  /** Name of the symbol; empty for none, absent when the option for the side applies. */
  readonly symbol?: string;
  /** True for a position from a plugin, which gets a number if a waypoint already has its name. */
  readonly isPlugins?: boolean;
  /** The user's changes to the boat position that this one replaces. */
  readonly edits?: BoatEdits;
}

/** Everything a run adds to one waypoint. */
export interface WaypointAddition {
  readonly fileIndex: number;
  readonly values: readonly AddedValue[];
  /** One line, appended to `cmt`; nothing is added when it is empty. */
  readonly comment: string;
  readonly partners: readonly PartnerAddition[];
}

/** One output file. `suffix` is empty, or `-1`, `-2` and so on when waypoints were split over files. */
export interface EnrichedPart {
  readonly suffix: string;
  readonly bytes: Uint8Array;
  readonly waypoints: number;
}

export interface EnrichedGpx {
  readonly parts: readonly EnrichedPart[];
  /** Boat positions as they were written. */
  readonly given: readonly LedgerEntry[];
  readonly diagnostics: readonly Diagnostic[];
  /** What a chartplotter may cut, rename or refuse. */
  readonly limits: readonly Diagnostic[];
}
