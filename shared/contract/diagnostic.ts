import { inUnits, lengthsOf } from './lengths.ts';
import type { DisplayUnits } from './units.ts';

/** Severity: an error rejects its input or waypoint, a warning does not, a note only informs. */
export type Severity = (typeof SEVERITIES)[number];
/** Worst first. */
export const SEVERITIES = ['error', 'warning', 'note'] as const;

/** What a diagnostic refers to: a file with a line and column, a waypoint, or, when empty, the command. */
export interface Place {
  readonly file?: string;
  /** 1-based physical line. */
  readonly line?: number;
  /** 1-based column, in UTF-16 code units. */
  readonly column?: number;
  readonly waypoint?: string;
}

/** The reader setting that repairs the fault. */
export interface Repair {
  /** Name of the option. */
  readonly setting: string;
  /** Value of the option if the log leaves no doubt; when absent, the user must choose one. */
  readonly value?: string;
  /** Names of the log's columns, where the setting names columns. */
  readonly columns?: readonly string[];
}

/**
 * One message to the user, as plain data.
 *
 * `code` is `area/what`, stable, lower-case; it reaches the table's `notes`.
 * `message` says the consequence first, then one cause and one thing to do, with values and units; lengths
 * are written as by `lengths.ts`.
 * `count` is the number of rows or waypoints that the diagnostic stands for, when more than one.
 * `values` are the numbers (SI) and words of the message, for programs.
 * `repair` is the reader setting that repairs the fault, if there is one.
 * `rank` is set when the message states an extreme: of diagnostics with the same code in one log, only the
 * one of lowest rank is shown.
 */
export interface Diagnostic {
  readonly severity: Severity;
  readonly code: string;
  readonly message: string;
  readonly place?: Place;
  readonly count?: number;
  readonly values?: Readonly<Record<string, number | string>>;
  readonly repair?: Repair;
  readonly rank?: number;
}

/** Receives messages, in the order in which they are found. */
export type Report = (diagnostic: Diagnostic) => void;

/** A report that keeps what it receives and passes it on. */
export function keptReport(passOn: Report = () => {}) {
  const diagnostics: Diagnostic[] = [];
  const report = (diagnostic: Diagnostic): void => {
    diagnostics.push(diagnostic);
    passOn(diagnostic);
  };
  return { diagnostics, report };
}

/** Order of diagnostics, worst first. */
export const bySeverity = (a: Pick<Diagnostic, 'severity'>, b: Pick<Diagnostic, 'severity'>): number =>
  SEVERITIES.indexOf(a.severity) - SEVERITIES.indexOf(b.severity);

/** Text of a diagnostic: `place: severity code: message`, lengths in the user's units. */
export function formatDiagnostic(diagnostic: Diagnostic, units: DisplayUnits = 'm'): string {
  const place = formatPlace(diagnostic.place ?? {});
  return visible(
    `${place === '' ? '' : `${place}: `}${diagnostic.severity} ${diagnostic.code}: ${inUnits(diagnostic.message, units)}`,
  );
}

/** Characters that act on a terminal: control characters except the line feed, and bidirectional controls. */
const UNSEEN = /[\u0000-\u0009\u000b-\u001f\u007f-\u009f\u061c\u200e\u200f\u202a-\u202e\u2066-\u2069]/g;

/** Unicode's bidirectional controls, which change the direction of text. */
const TURNS = /[\u061c\u200e\u200f\u202a-\u202e\u2066-\u2069]/g;

const asCode = (c: string): string => `\\u${c.charCodeAt(0).toString(16).padStart(4, '0')}`;

/** A text whose bidirectional controls, which can reverse text, are shown as codes such as `\u202e`. */
export const withoutTurns = (text: string): string => text.replace(TURNS, asCode);

/** A text whose control characters are shown as codes such as `\u001b` and do not act on a terminal. */
export const visible = (text: string): string => text.replace(UNSEEN, asCode);

/** A diagnostic as one line of JSON; lengths in its message are in meters, and listed in `lengths`. */
export function jsonDiagnostic({ rank: _rank, ...diagnostic }: Diagnostic): string {
  const lengths = lengthsOf(diagnostic.message);
  return JSON.stringify({
    ...diagnostic,
    message: inUnits(diagnostic.message, 'm'),
    ...(lengths.length === 0 ? {} : { lengths }),
  });
}

/** Stack trace of a failed plugin, as the lines that follow its message. */
export const stackOf = ({ values }: Diagnostic): string =>
  typeof values?.stack === 'string' ? `\n${values.stack.split('\n').slice(1).join('\n')}` : '';

function formatPlace({ file, line, column, waypoint }: Place): string {
  const inFile = line === undefined ? [file] : column === undefined ? [file, line] : [file, line, column];
  const parts = [
    ...(file === undefined ? [] : [inFile.join(':')]),
    ...(waypoint === undefined ? [] : [`waypoint ${JSON.stringify(waypoint)}`]),
  ];
  return parts.join(': ');
}

/**
 * Thrown by readers and by planning when an input is rejected as a whole; caught by the command line.
 *
 * @param status Exit status: 1 for a refused input, 2 for a bad command line or configuration.
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

/** The diagnostic with the name of its file, which a reader leaves to the caller that opened the file. */
export const inFile = (file: string, diagnostic: Diagnostic): Diagnostic =>
  diagnostic.place === undefined ? diagnostic : { ...diagnostic, place: { file, ...diagnostic.place } };

/** What a reader threw, with the name of the file in a refusal. */
export const thrownIn = (file: string, cause: unknown): unknown =>
  cause instanceof Refusal
    ? new Refusal(
        cause.diagnostics.map((each) => inFile(file, each)),
        cause.status,
      )
    : cause;
