import { inUnits, lengthsOf } from './lengths.ts';
import type { DisplayUnits } from './units.ts';

/**
 * An error rejects something as a whole, such as an input, a plugin's fields or the command; a warning needs
 * attention; a note only informs.
 */
export type Severity = (typeof SEVERITIES)[number];
/** Worst first. */
export const SEVERITIES = ['error', 'warning', 'note'] as const;

/** File, line or waypoint that a diagnostic refers to; empty for the whole command. */
export interface Place {
  readonly file?: string;
  /** 1-based physical line, or number of the record if `record` is given. */
  readonly line?: number;
  /** What `line` counts in a file without lines: `point` or `row`. */
  readonly record?: string;
  /** 1-based column, in UTF-16 code units. */
  readonly column?: number;
  readonly waypoint?: string;
}

/** An option that repairs the fault that a diagnostic reports. */
export interface Repair {
  /** Flag of the option, without dashes. */
  readonly setting: string;
  /** Value of the option if the log leaves no doubt; when absent, the user must choose. */
  readonly value?: string;
  /** Names of the log's columns, for an option that names columns. */
  readonly columns?: readonly string[];
}

/** One message to the user, as plain data. */
export interface Diagnostic {
  readonly severity: Severity;
  /** `area/what`, lowercase; stays the same when the message changes. */
  readonly code: string;
  /** Consequence first, then one cause and one thing to do. Use `inMeters` or `inKilometers` for lengths. */
  readonly message: string;
  readonly place?: Place;
  /** Number of rows, waypoints or other items that the diagnostic stands for. */
  readonly count?: number;
  /** Values for programs: numbers (SI) and words of the message, or `stack` of a failed plugin. */
  readonly values?: Readonly<Record<string, number | string>>;
  readonly repair?: Repair;
  /** Of a log's ranked diagnostics with equal codes, only the one with the lowest rank is shown. */
  readonly rank?: number;
}

export type Report = (diagnostic: Diagnostic) => void;

/** Returns a report that passes each diagnostic on, and the list to which the report adds each diagnostic. */
export function keptReport(passOn: Report = () => {}) {
  const diagnostics: Diagnostic[] = [];
  const report = (diagnostic: Diagnostic): void => {
    diagnostics.push(diagnostic);
    passOn(diagnostic);
  };
  return { diagnostics, report };
}

export const bySeverity = (a: Pick<Diagnostic, 'severity'>, b: Pick<Diagnostic, 'severity'>): number =>
  SEVERITIES.indexOf(a.severity) - SEVERITIES.indexOf(b.severity);

/** Writes a diagnostic as `place: severity code: message`, with lengths in the user's units. */
export function formatDiagnostic(diagnostic: Diagnostic, units: DisplayUnits = 'm'): string {
  const place = formatPlace(diagnostic.place ?? {});
  return visible(
    `${place === '' ? '' : `${place}: `}${diagnostic.severity} ${diagnostic.code}: ${inUnits(diagnostic.message, units)}`,
  );
}

/** Characters that act on a terminal: control characters except the line feed, and bidirectional controls. */
const UNSEEN = /[\u0000-\u0009\u000b-\u001f\u007f-\u009f\u061c\u200e\u200f\u202a-\u202e\u2066-\u2069]/g;

const TURNS = /[\u061c\u200e\u200f\u202a-\u202e\u2066-\u2069]/g;

const asCode = (c: string): string => `\\u${c.charCodeAt(0).toString(16).padStart(4, '0')}`;

/** Replaces bidirectional controls with codes such as `\u202e`. */
export const withoutTurns = (text: string): string => text.replace(TURNS, asCode);

/** Replaces characters that act on a terminal with codes such as `\u001b`. */
export const visible = (text: string): string => text.replace(UNSEEN, asCode);

/** Writes a diagnostic as one line of JSON, without `rank`; `lengths` holds the lengths in the message, m. */
export function jsonDiagnostic({ rank: _rank, ...diagnostic }: Diagnostic): string {
  const lengths = lengthsOf(diagnostic.message);
  return JSON.stringify({
    ...diagnostic,
    message: inUnits(diagnostic.message, 'm'),
    ...(lengths.length === 0 ? {} : { lengths }),
  });
}

/** Returns the stack trace of a failed plugin, as lines to print after the message; empty without one. */
export const stackOf = ({ values }: Diagnostic): string =>
  typeof values?.stack === 'string' ? `\n${values.stack.split('\n').slice(1).join('\n')}` : '';

function formatPlace({ file, line, record, column, waypoint }: Place): string {
  const lines =
    record === undefined && line !== undefined ? [line, ...(column === undefined ? [] : [column])] : [];
  const parts = [
    ...(file === undefined ? [] : [[file, ...lines].join(':')]),
    ...(record === undefined || line === undefined ? [] : [`${record} ${line}`]),
    ...(waypoint === undefined ? [] : [`waypoint ${JSON.stringify(waypoint)}`]),
  ];
  return parts.join(': ');
}

/**
 * Rejects a whole input or command.
 *
 * @param status Exit status: 2 for a bad command line or configuration, otherwise 1.
 */
export class Refusal extends Error {
  readonly diagnostics: readonly Diagnostic[];
  readonly status: 1 | 2;
  constructor(diagnostics: readonly Diagnostic[], status: 1 | 2 = 1) {
    super(diagnostics.map((each) => formatDiagnostic(each)).join('\n'));
    this.name = 'Refusal';
    this.diagnostics = diagnostics;
    this.status = status;
  }
}

/** Adds a file name to a diagnostic whose place has none; without a place, nothing is added. */
export const inFile = (file: string, diagnostic: Diagnostic): Diagnostic =>
  diagnostic.place === undefined ? diagnostic : { ...diagnostic, place: { file, ...diagnostic.place } };

/** Adds the name of the file to a refusal that a reader threw; returns anything else unchanged. */
export const thrownIn = (file: string, cause: unknown): unknown =>
  cause instanceof Refusal
    ? new Refusal(
        cause.diagnostics.map((each) => inFile(file, each)),
        cause.status,
      )
    : cause;
