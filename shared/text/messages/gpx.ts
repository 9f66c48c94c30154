import { type Diagnostic, inMeters, type Place } from '../../contract/index.ts';
import { at, quote, say } from './say-gpx.ts';

export const emptyFile = (file: string): Diagnostic =>
  say('error', 'empty', 'Unexpected empty file, expected GPX. Export the waypoints again.', at(file));

export const otherFileKind = (file: string, kind: string): Diagnostic =>
  say('error', 'not-gpx', `Unexpected ${kind}, expected GPX. Give the GPX file itself.`, at(file));

export const wrongRoot = (file: string, line: number, tag: string): Diagnostic =>
  say(
    'error',
    'not-gpx',
    `Unexpected root element <${tag}>, expected <gpx>. Give a GPX file.`,
    at(file, line),
  );

export const wrongVersion = (file: string, line: number, version: string): Diagnostic =>
  say(
    'warning',
    'version',
    `Unexpected GPX version ${quote(version)}, expected 1.0 or 1.1; read as 1.1. Check the output on the unit.`,
    at(file, line),
  );

export const unknownEncoding = (file: string, encoding: string): Diagnostic =>
  say(
    'error',
    'encoding',
    `Unexpected encoding ${quote(encoding)}, expected one this program knows. Save the file as UTF-8.`,
    at(file, 1),
  );

export const badBytes = (file: string, encoding: string, line: number, column: number): Diagnostic =>
  say(
    'error',
    'encoding',
    `Unexpected bytes that are not ${encoding}, expected ${encoding} text. Name the file's true encoding in its XML declaration, or save it as UTF-8.`,
    at(file, line, column),
  );

export const encodingNotKept = (file: string, encoding: string, line: number, column: number): Diagnostic =>
  say(
    'error',
    'encoding',
    `Unexpected bytes that ${encoding} does not give back, expected text that can be written as it was. Save the file as UTF-8.`,
    at(file, line, column),
  );

export const byteOrderMarkWins = (file: string, declared: string, used: string): Diagnostic =>
  say(
    'warning',
    'encoding',
    `Unexpected declared encoding ${quote(declared)}, expected ${used} as the file's first bytes say; read as ${used}.`,
    at(file, 1),
  );

export const labeledLatin1 = (file: string): Diagnostic =>
  say(
    'warning',
    'encoding',
    'Unexpected characters of windows-1252 under the label ISO-8859-1; read as windows-1252 and written back as they are.',
    at(file, 1),
  );

export const doctype = (file: string, line: number, column: number): Diagnostic =>
  say(
    'error',
    'doctype',
    'Unexpected <!DOCTYPE ...>, expected none in GPX. Remove it if you trust the file.',
    at(file, line, column),
  );

export const secondByteOrderMark = (file: string): Diagnostic =>
  say('error', 'xml', 'Unexpected second byte-order mark, expected one at most. Remove it.', at(file, 1, 2));

export const tooDeep = (file: string, line: number, column: number, limit: number): Diagnostic =>
  say(
    'error',
    'depth',
    `Unexpected elements nested more than ${limit} deep, expected fewer. Check where the file is from.`,
    at(file, line, column),
  );

export const tooManyAttributes = (file: string, line: number, tag: string, limit: number): Diagnostic =>
  say(
    'error',
    'attributes',
    `Unexpected more than ${limit} attributes on <${tag}>, expected fewer. Check where the file is from.`,
    at(file, line),
  );

export const malformed = (
  file: string,
  line: number,
  column: number,
  found: string,
  advice: string,
): Diagnostic =>
  say('error', 'xml', `Unexpected ${found}, expected well-formed XML. ${advice}`, at(file, line, column));

export const truncated = (file: string, line: number, tag: string, startLine: number): Diagnostic =>
  say(
    'error',
    'truncated',
    `Unexpected end of file inside <${tag}> started at line ${startLine}, expected </gpx>. Copy the file again, or pass --repair to keep what is whole.`,
    at(file, line),
  );

export const erasedTail = (file: string, line: number, bytes: number, value: string): Diagnostic =>
  say(
    'error',
    'tail',
    `Unexpected ${bytes} ${value} bytes at the end, expected nothing after </gpx>. Copy the file again, or pass --repair to leave them out.`,
    at(file, line),
  );

export const repaired = (file: string, line: number, what: string): Diagnostic =>
  say('warning', 'repaired', `Repaired, as asked: ${what}.`, at(file, line));

export const tailLeftOut = (file: string, bytes: number, value: string): Diagnostic =>
  say('warning', 'tail', `Left out ${bytes} ${value} bytes at the end of the file, as asked.`, at(file));

export const endLeftOut = (file: string, line: number, bytes: number): Diagnostic =>
  say(
    'warning',
    'truncated',
    `Left out the last ${bytes} bytes, an element that the file ends inside of, as asked; everything before is kept.`,
    at(file, line),
  );

export const otherNamespace = (file: string, line: number, uri: string): Diagnostic =>
  say(
    'warning',
    'namespace',
    uri === ''
      ? 'Unexpected <gpx> without a namespace, expected that of GPX 1.0 or 1.1; read as it is.'
      : `Unexpected namespace ${quote(uri)}, expected that of GPX 1.0 or 1.1; read as it is.`,
    at(file, line),
  );

export const oldXmlVersion = (file: string): Diagnostic =>
  say(
    'warning',
    'xml-version',
    'Unexpected XML 1.1, expected 1.0; read as declared. Many units cannot read it.',
    at(file, 1),
  );

export const newerAdditions = (file: string, line: number, uri: string): Diagnostic =>
  say(
    'warning',
    'newer',
    `Unexpected elements of ${quote(uri)}, which a newer downslope wrote; kept as they are.`,
    at(file, line),
  );

export const severalExtensions = (place: Place): Diagnostic =>
  say(
    'warning',
    'extensions',
    'Unexpected second <extensions> in one waypoint, expected one; the last is used.',
    place,
  );

export const missingCoordinate = (place: Place, which: 'lat' | 'lon'): Diagnostic =>
  say('warning', 'coordinates', `Unexpected waypoint without ${which}, expected one; kept as it is.`, place);

export const commaCoordinate = (place: Place, which: 'lat' | 'lon', found: string): Diagnostic =>
  say(
    'warning',
    'coordinates',
    `Unexpected ${which} ${quote(found)}, expected a decimal point; waypoint kept as it is. Write the comma as a point.`,
    place,
  );

export const badCoordinate = (place: Place, which: 'lat' | 'lon', found: string): Diagnostic =>
  say(
    'warning',
    'coordinates',
    `Unexpected ${which} ${quote(found)}, expected a number; waypoint kept as it is.`,
    place,
  );

export const coordinateRange = (place: Place, which: 'lat' | 'lon', found: string): Diagnostic =>
  say(
    'warning',
    'coordinates',
    `Unexpected ${which} ${quote(found)}, expected ${which === 'lat' ? '-90 to 90' : '-180 to 180'} degrees; waypoint kept as it is.`,
    place,
  );

export const exponentCoordinate = (place: Place, which: 'lat' | 'lon', found: string): Diagnostic =>
  say(
    'warning',
    'coordinates',
    `Unexpected exponent in ${which} ${quote(found)}, expected a plain decimal; read as a number.`,
    place,
  );

export const badTime = (place: Place, found: string): Diagnostic =>
  say('warning', 'time', `Unexpected time ${quote(found)}, expected YYYY-MM-DDTHH:MM:SSZ; left out.`, place);

export const looksLikeBoatPosition = (place: Place, of: string): Diagnostic =>
  say(
    'note',
    'boat-position',
    `Looks like a boat position of ${quote(of)} from an earlier run, by name and place; kept as it is and not enriched. Rename it if it is a mark of its own.`,
    place,
  );

export const planStop = (place: Place): Diagnostic =>
  say(
    'note',
    'plan-stop',
    'Looks like a stop of a day plan, by type or comment; kept as it is and not enriched. Change its comment if it is a mark of its own.',
    place,
  );

export const boatPositionMoved = (place: Place): Diagnostic =>
  say(
    'note',
    'boat-moved',
    'This boat position was moved since it was written; kept where it is now.',
    place,
  );

export const boatEditsCarried = (place: Place): Diagnostic =>
  say('note', 'boat-edited', 'What you put on this boat position is on its new one.', place);

export const boatPositionKept = (place: Place): Diagnostic =>
  say(
    'note',
    'boat-kept',
    'A waypoint already stands at the boat position found; it is kept and none is added.',
    place,
  );

export const boatPositionReplaced = (place: Place, distance: number): Diagnostic =>
  say(
    'note',
    'boat-replaced',
    `Boat position replaced by one ${inMeters(distance)} away. If you had moved it yourself, rename it in the input to keep it.`,
    place,
  );

export const mixedVersions = (
  file: string,
  version: string,
  first: string,
  firstVersion: string,
): Diagnostic =>
  say(
    'error',
    'merge-version',
    `Unexpected GPX ${version}, expected ${firstVersion} as in ${first}. Merge files of one version.`,
    at(file),
  );

export const nearDuplicate = (place: Place, other: Place, distance: number): Diagnostic =>
  say(
    'warning',
    'near-duplicate',
    `Stands ${inMeters(distance, 1)} from ${quote(other.waypoint ?? '')} of ${other.file}:${other.line}; both are kept. Pass --join to make one of two with the same name.`,
    place,
  );

export const joined = (place: Place, other: Place, distance: number): Diagnostic =>
  say(
    'note',
    'joined',
    `Left out of the merged file: ${inMeters(distance, 1)} from the same name at ${other.file}:${other.line}, as asked.`,
    place,
  );

export const badTrackPoints = (file: string, count: number, line: number): Diagnostic =>
  say(
    'warning',
    'track-point',
    'Track points without usable coordinates, expected lat -90 to 90 and lon -180 to 180; left out.',
    at(file, line),
    count,
  );

export const badTrackDepths = (file: string, count: number, line: number): Diagnostic =>
  say(
    'warning',
    'track-depth',
    'Track points with a depth that is not a number in a known unit, expected meters; depth left out.',
    at(file, line),
    count,
  );

export const badTrackTimes = (file: string, count: number, line: number): Diagnostic =>
  say(
    'warning',
    'track-time',
    'Track points with a time that cannot be read, expected YYYY-MM-DDTHH:MM:SSZ; time left out.',
    at(file, line),
    count,
  );
