import { type Diagnostic, inKilometers, inMeters, type Place } from '../../contract/index.ts';
import { at, error, note, warning } from './make.ts';
import { quote } from './quote.ts';

export const emptyFile = (): Diagnostic =>
  error('gpx/empty', 'This file is empty. Export the waypoints again.', { place: at() });

export const otherFileKind = (kind: string): Diagnostic =>
  error('gpx/not-gpx', `This is ${kind}, not GPX. Give the GPX file itself.`, { place: at() });

export const wrongRoot = (line: number, tag: string): Diagnostic =>
  error('gpx/not-gpx', `This XML file begins with <${tag}>, not with <gpx>. Give a GPX file.`, {
    place: at(line),
  });

export const wrongVersion = (line: number, version: string): Diagnostic =>
  warning(
    'gpx/version',
    `Read as GPX 1.1: this file says version ${quote(version)}, which is neither 1.0 nor 1.1. Check the output on your unit.`,
    { place: at(line) },
  );

export const unknownEncoding = (encoding: string): Diagnostic =>
  error(
    'gpx/encoding',
    `This file cannot be read: its encoding ${quote(encoding)} is unknown. Save it as UTF-8, or pass --repair.`,
    { place: at(1) },
  );

export const badBytes = (encoding: string, line: number, column: number): Diagnostic =>
  error(
    'gpx/encoding',
    `This file cannot be read: it says it is ${encoding}, but a byte here is not. Save it as UTF-8, or pass --repair.`,
    { place: at(line, column) },
  );

export const encodingNotKept = (encoding: string, line: number, column: number): Diagnostic =>
  error(
    'gpx/encoding',
    `Nothing is written: bytes here would not come back the same in ${encoding}. Save the file as UTF-8.`,
    { place: at(line, column) },
  );

export const byteOrderMarkWins = (declared: string, used: string): Diagnostic =>
  warning(
    'gpx/encoding',
    `Read as ${used}, because its first bytes say so. Its XML declaration says ${quote(declared)}.`,
    { place: at(1) },
  );

export const labeledLatin1 = (): Diagnostic =>
  warning(
    'gpx/encoding',
    'Read as windows-1252 and written back as it is: the file says ISO-8859-1, which lacks some of its characters.',
    { place: at(1) },
  );

export const doctype = (line: number, column: number): Diagnostic =>
  error(
    'gpx/doctype',
    'This file is not read: it has a <!DOCTYPE ...>, which GPX never needs. If you trust the file, remove that part.',
    { place: at(line, column) },
  );

export const secondByteOrderMark = (): Diagnostic =>
  error(
    'gpx/xml',
    'This file cannot be read: it begins with two byte-order marks. Remove one, or pass --repair.',
    { place: at(1, 2) },
  );

export const tooDeep = (line: number, column: number, limit: number): Diagnostic =>
  error(
    'gpx/depth',
    `This file is not read: its elements are nested more than ${limit} deep. Check where it comes from.`,
    { place: at(line, column) },
  );

export const tooManyAttributes = (line: number, tag: string, limit: number): Diagnostic =>
  error(
    'gpx/attributes',
    `This file is not read: <${tag}> has more than ${limit} attributes. Check where it comes from.`,
    { place: at(line) },
  );

export const malformed = (line: number, column: number, found: string, advice: string): Diagnostic =>
  error('gpx/xml', `This file cannot be read here: ${found}. ${advice}`, { place: at(line, column) });

export const truncated = (line: number, tag: string, startLine: number): Diagnostic =>
  error(
    'gpx/truncated',
    `This file is cut short: it ends inside the <${tag}> of line ${startLine}. Copy it again, or add --repair to keep what is whole.`,
    { place: at(line) },
  );

export const erasedTail = (line: number, bytes: number, value: string): Diagnostic =>
  error(
    'gpx/tail',
    `This file is damaged: ${bytes} ${value} bytes follow its end. Copy it again, or add --repair to leave them out.`,
    { place: at(line) },
  );

export const repaired = (line: number, what: string): Diagnostic =>
  warning('gpx/repaired', `Repaired, as asked: ${what}.`, { place: at(line) });

export const tailLeftOut = (bytes: number, value: string): Diagnostic =>
  warning('gpx/tail', `The ${bytes} ${value} bytes after the end of the file were left out, as asked.`, {
    place: at(),
  });

export const endLeftOut = (line: number, bytes: number): Diagnostic =>
  warning(
    'gpx/truncated',
    `The last ${bytes} bytes, an element cut short, were left out, as asked. Everything before them is kept.`,
    { place: at(line) },
  );

export const otherNamespace = (line: number, uri: string): Diagnostic =>
  warning(
    'gpx/namespace',
    uri === ''
      ? 'Read as it is, though <gpx> has no namespace. Your unit may not read the output.'
      : `Read as it is, though its namespace ${quote(uri)} is not that of GPX 1.0 or 1.1. Your unit may not read the output.`,
    { place: at(line) },
  );

export const oldXmlVersion = (): Diagnostic =>
  warning('gpx/xml-version', 'Many units will not read this file: it is XML 1.1. Save it as XML 1.0.', {
    place: at(1),
  });

export const newerAdditions = (line: number, uri: string): Diagnostic =>
  warning(
    'gpx/newer',
    `Elements of a newer downslope (${quote(uri)}) were kept as they are. Update downslope to use them.`,
    { place: at(line) },
  );

export const severalExtensions = (place: Place): Diagnostic =>
  warning('gpx/extensions', 'Only the last <extensions> of this waypoint is used: it has more than one.', {
    place,
  });

export const missingCoordinate = (place: Place, which: 'lat' | 'lon'): Diagnostic =>
  warning(
    'gpx/coordinates',
    `Nothing is worked out for this waypoint: it has no ${which}. It is kept as it is.`,
    { place },
  );

export const commaCoordinate = (place: Place, which: 'lat' | 'lon', found: string): Diagnostic =>
  warning(
    'gpx/coordinates',
    `Nothing is worked out for this waypoint: its ${which} ${quote(found)} has a comma. Write it with a point.`,
    { place },
  );

export const badCoordinate = (place: Place, which: 'lat' | 'lon', found: string): Diagnostic =>
  warning(
    'gpx/coordinates',
    `Nothing is worked out for this waypoint: its ${which} ${quote(found)} is not a number. It is kept as it is.`,
    { place },
  );

export const coordinateRange = (
  place: Place,
  which: 'lat' | 'lon',
  found: string,
  isSwapped: boolean,
): Diagnostic =>
  warning(
    'gpx/coordinates',
    `Nothing is worked out for this waypoint: its ${which} ${quote(found)} is outside ${which === 'lat' ? '-90 to 90' : '-180 to 180'} degrees. ${isSwapped ? 'Latitude and longitude swapped? ' : ''}It is kept as it is.`,
    { place },
  );

/** @param names Names of some of the marks. @param rest Number of marks that are together elsewhere. */
export const marksApart = (
  place: Place,
  names: readonly string[],
  count: number,
  rest: number,
  distance: number,
  isSwapped: boolean,
): Diagnostic =>
  (isSwapped ? warning : note)(
    'gpx/marks-apart',
    `${count === 1 ? 'This mark is' : 'These marks are'} ${inKilometers(distance)} from the other ${rest}: ${names.map(quote).join(', ')}${names.length < count ? ' ...' : ''}. ${isSwapped ? 'Latitude and longitude swapped? Correct them on the unit or in the file.' : 'Of another lake?'}`,
    { place, count },
  );

export const exponentCoordinate = (place: Place, which: 'lat' | 'lon', found: string): Diagnostic =>
  warning(
    'gpx/coordinates',
    `Some units will not read this waypoint: its ${which} ${quote(found)} has an exponent. Write it as a plain decimal.`,
    { place },
  );

export const badTime = (place: Place, found: string): Diagnostic =>
  warning('gpx/time', `The time ${quote(found)} is not used: it is not written as YYYY-MM-DDTHH:MM:SSZ.`, {
    place,
  });

export const looksLikeBoatPosition = (place: Place, of: string): Diagnostic =>
  note(
    'gpx/boat-position',
    `Not enriched: by name and place this is a boat position of ${quote(of)} from an earlier run. If it is your own mark, rename it.`,
    { place },
  );

export const planStop = (place: Place): Diagnostic =>
  note(
    'gpx/plan-stop',
    'Not enriched: its type or comment says it is a stop of a day plan. If it is your own mark, change its comment.',
    { place },
  );

export const boatPositionMoved = (place: Place): Diagnostic =>
  note('gpx/boat-moved', 'This boat position stays where you moved it.', { place });

/** @param written Name under which the boat position was given out. */
export const maybeMovedBoat = (place: Place, written: string, isLikely: boolean): Diagnostic =>
  note(
    'gpx/boat-maybe-moved',
    isLikely
      ? `Kept, not enriched: this may be our boat position ${quote(written)}, moved by you. If it is your own mark, give it a different name.`
      : `Taken as your own mark: it may be our boat position ${quote(written)}, moved by you. If it is, delete it.`,
    { place },
  );

export const boatEditsCarried = (place: Place): Diagnostic =>
  note('gpx/boat-edited', 'What you wrote on this boat position is now on its new one.', { place });

export const boatPositionKept = (place: Place): Diagnostic =>
  note('gpx/boat-kept', 'No boat position is added: one of your waypoints is already there.', { place });

export const boatPositionReplaced = (place: Place, distance: number): Diagnostic =>
  note(
    'gpx/boat-replaced',
    `This boat position was replaced by one ${inMeters(distance)} away. If you moved it yourself, rename it in the input to keep it.`,
    { place },
  );

export const mixedVersions = (
  file: string,
  version: string,
  first: string,
  firstVersion: string,
): Diagnostic =>
  error(
    'gpx/merge-version',
    `These files cannot be merged: this one is GPX ${version} and ${first} is GPX ${firstVersion}. Save both in the same version.`,
    { place: { file } },
  );

export const nearDuplicate = (place: Place, other: Place, distance: number): Diagnostic =>
  warning(
    'gpx/near-duplicate',
    `Perhaps the same mark twice: ${quote(other.waypoint ?? '')} of ${other.file}:${other.line} is only ${inMeters(distance, 1)} away. Both are kept; add --join to merge marks with the same name.`,
    { place },
  );

export const joined = (place: Place, other: Place, distance: number): Diagnostic =>
  note(
    'gpx/joined',
    `Left out of the merged file, as asked: the same name is ${inMeters(distance, 1)} away at ${other.file}:${other.line}.`,
    { place },
  );

export const badTrackPoints = (count: number, line: number): Diagnostic =>
  warning(
    'gpx/track-point',
    'Track points were left out: their lat or lon is missing or outside -90 to 90 and -180 to 180 degrees.',
    { place: at(line), count },
  );

export const badTrackDepths = (count: number, line: number): Diagnostic =>
  warning('gpx/track-depth', 'Depths of track points were left out: they are not numbers in a known unit.', {
    place: at(line),
    count,
  });

export const badTrackTimes = (count: number, line: number): Diagnostic =>
  warning(
    'gpx/track-time',
    'Times of track points were left out: they are not written as YYYY-MM-DDTHH:MM:SSZ.',
    { place: at(line), count },
  );
