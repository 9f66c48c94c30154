import { inKilometers, inMeters, type Place } from '../../contract/index.ts';
import { counted, messages, plural, quote } from './make.ts';

const OR_REPAIR = ', or add --repair for a waypoint file';

/** Says how far a mark is from another. @param distance m. */
const away = (distance: number): string =>
  distance < 0.01 ? 'at the same position' : `${inMeters(distance, 1)} away`;

export const gpxMessages = {
  ...messages('gpx', 'error', {
    empty: 'This file is empty. Export or copy it again.',
    'not-gpx': (kind: string) => `This is ${kind}, not GPX. Give a GPX file.`,
    'not-gpx erased': (value: string) =>
      `This file was erased: it contains only ${value} bytes. Export or copy it again.`,
    'not-gpx root': (tag: string) => `This XML file begins with <${tag}>, not with <gpx>. Give a GPX file.`,
    'encoding unknown': (encoding: string) =>
      `This file cannot be read: its encoding ${quote(encoding)} is unknown. Save the file as UTF-8${OR_REPAIR}.`,
    'encoding wrong': (encoding: string) =>
      `This file cannot be read: its first line says that its encoding is ${quote(encoding)}, but it is not. Write encoding="UTF-8" there and save the file as UTF-8${OR_REPAIR}.`,
    'encoding utf-32': 'This file cannot be read: it is UTF-32. Save the file as UTF-8.',
    /** Said of UTF-8 and UTF-16; `--repair` does not mend UTF-16. */
    'encoding bytes': (encoding: string) =>
      `This file cannot be read: it should be ${encoding}, but not all of its bytes are. Save the file as UTF-8${encoding === 'UTF-8' ? OR_REPAIR : ''}.`,
    'encoding not-kept': (encoding: string) =>
      `This file is not used: bytes here would be written back differently in ${encoding}. Save the file as UTF-8.`,
    doctype:
      'This file is not read: it has a <!DOCTYPE ...>, which GPX never needs. If you trust the file, remove that part.',
    'xml mark':
      'This file cannot be read: it begins with two byte-order marks. Remove one of them, or add --repair for a waypoint file.',
    depth: (limit: number) =>
      `This file is not read: its elements are nested more than ${limit} deep. Check where the file comes from.`,
    attributes: (tag: string, limit: number) =>
      `This file is not read: <${tag}> has more than ${limit} attributes. Check where the file comes from.`,
    xml: (found: string, advice: string) => `This file cannot be read here (${found}). ${advice}`,
    truncated: (tag: string, startLine: number) =>
      `This file is cut short: it ends inside the <${tag}> of line ${startLine}. Copy the file again, or add --repair for a waypoint file to keep what can be read.`,
    tail: (bytes: number, value: string) =>
      `This file is damaged: it ends in ${plural(bytes, `${value} byte`)}. Copy the file again, or add --repair to leave ${bytes === 1 ? 'this byte' : 'these bytes'} out.`,
    'merge-version namespaces': (uri: string, first: string, firstUri: string) =>
      `These files cannot be merged: ${uri === '' ? 'this one has no namespace' : `the namespace of this one is ${quote(uri)}`}, and ${firstUri === '' ? `${first} has none` : `that of ${first} is ${quote(firstUri)}`}. Save both with the same program.`,
    'merge-version': (version: string, first: string, firstVersion: string) =>
      `These files cannot be merged: this one is GPX ${version} and ${first} is GPX ${firstVersion}. Save both in the same version.`,
  }),
  ...messages('gpx', 'warning', {
    version: (version: string) =>
      `Your unit may not read what is written from this file: its GPX version ${quote(version)} is neither 1.0 nor 1.1. Try the result on your unit.`,
    'encoding mark': (declared: string, used: string) =>
      `This file is read as ${used}, as its first bytes say, although its XML declaration says ${quote(declared)}.`,
    'encoding latin-1':
      'This file is read and written as windows-1252: it says ISO-8859-1, which lacks some of its characters.',
    repaired: (what: string) => `This file was repaired, as asked: ${what}.`,
    'tail left-out': (bytes: number, value: string) =>
      `${plural(bytes, `${value} byte`)} at the end of the file ${bytes === 1 ? 'was' : 'were'} left out, as asked.`,
    'truncated left-out': (bytes: number) =>
      `The last element is cut short, so its ${plural(bytes, 'byte')} ${bytes === 1 ? 'was' : 'were'} left out, as asked. Everything before it is kept.`,
    'truncated closed': (tag: string) =>
      `The end of this file, </${tag}>, is missing and was added, as asked. Everything before it is kept.`,
    namespace: (uri: string) =>
      uri === ''
        ? 'Your unit may not read what is written from this file: <gpx> has no namespace. Try the result on your unit.'
        : `Your unit may not read what is written from this file: its namespace ${quote(uri)} is not that of GPX 1.0 or 1.1. Try the result on your unit.`,
    'xml-version': 'Many units will not read this file: it is XML 1.1. Save the file as XML 1.0.',
    newer: (uri: string) =>
      `Elements of a newer downslope (${quote(uri)}) are kept but not used. Update downslope to use them.`,
    extensions:
      'Some units may not read this waypoint: it has more than one <extensions>. What is added goes into the last of them.',
    'coordinates missing': (which: 'lat' | 'lon') =>
      `Nothing is worked out for this waypoint: it has no ${which}. The waypoint is kept as it is.`,
    'coordinates comma': (which: 'lat' | 'lon', found: string) =>
      `Nothing is worked out for this waypoint: its ${which} ${quote(found)} has a comma. Write the number with a point.`,
    coordinates: (which: 'lat' | 'lon', found: string) =>
      `Nothing is worked out for this waypoint: its ${which} ${quote(found)} is not a number. Write it in degrees, such as ${which === 'lat' ? '36.8864' : '-78.9778'}.`,
    'coordinates range': (which: 'lat' | 'lon', found: string, isSwapped: boolean) =>
      `Nothing is worked out for this waypoint: its ${which} ${quote(found)} is outside ${which === 'lat' ? '-90 to 90' : '-180 to 180'} degrees. The waypoint is kept as it is.${isSwapped ? ' Check whether latitude and longitude are swapped.' : ''}`,
    'coordinates exponent': (which: 'lat' | 'lon', found: string) =>
      `Some units will not read this waypoint: its ${which} ${quote(found)} has an exponent. Write the number as a plain decimal.`,
    /** @param names Some of the distant marks, `count` in all. @param rest Number of other marks. */
    'marks-apart': (
      names: readonly string[],
      count: number,
      rest: number,
      distance: number,
      isSwapped: boolean,
    ) => [
      `${names.map(quote).join(', ')}${names.length < count ? ` and ${count - names.length} more` : ''} ${count === 1 ? 'is' : 'are'} ${inKilometers(distance)} from ${rest === 1 ? 'another mark' : `${rest} other marks`}. ${isSwapped ? 'Latitude and longitude look swapped. Correct them on the unit or in the file.' : `Check that ${count === 1 ? 'this mark is' : 'these marks are'} on the same lake.`}`,
      { count, severity: isSwapped ? 'warning' : 'note' },
    ],
    'join-alone': 'Nothing is joined: --join works only with --merge. Add --merge, or leave --join out.',
    time: (found: string) =>
      `The time of this waypoint is not used: ${quote(found)} is not written as YYYY-MM-DDTHH:MM:SSZ.`,
    /** @param join Distance with which --join merges the two, m; undefined when their names differ. */
    'near-duplicate': (other: Place, distance: number, join?: number) =>
      `This may be the same mark twice: ${other.waypoint ? quote(other.waypoint) : 'the mark'} at ${other.file}:${other.line} is ${away(distance)}. Both are kept. If they are the same, ${join === undefined ? 'delete one of the two' : `merge them with --join ${join}m`}.`,
    'track-point': counted(
      'Track points were left out: their lat or lon is missing, is not a number with a decimal point, or is out of range (lat -90 to 90, lon -180 to 180).',
      'A track point was left out: its lat or lon is missing, is not a number with a decimal point, or is out of range (lat -90 to 90, lon -180 to 180).',
    ),
    'track-depth': counted(
      'Depths of track points were left out: they are not numbers in a known unit.',
      'The depth of a track point was left out: it is not a number in a known unit.',
    ),
    'track-time': counted(
      'Times of track points were left out: they are not written as YYYY-MM-DDTHH:MM:SSZ.',
      'The time of a track point was left out: it is not written as YYYY-MM-DDTHH:MM:SSZ.',
    ),
  }),
  ...messages('gpx', 'note', {
    'boat-position': (of: string) =>
      `This waypoint is not enriched: by its name and place it is a boat position of ${quote(of)} from an earlier run. If it is your own mark, rename the waypoint.`,
    'plan-stop':
      'This waypoint is not enriched: its type or comment says that it is a stop of a day plan. If it is your own mark, change its type or comment.',
    'boat-moved': 'This boat position stays where you moved it.',
    /** @param written Name of the boat position in the earlier output. */
    'boat-maybe-moved': (written: string, isLikely: boolean) =>
      isLikely
        ? `This waypoint is kept but not enriched: it may be the boat position ${quote(written)} of an earlier run, moved by you. If it is your own mark, rename the waypoint.`
        : `This waypoint is taken as your own mark, but it may be the boat position ${quote(written)} of an earlier run, moved by you. If so, delete the waypoint.`,
    'boat-edited':
      'What you wrote on this boat position was moved to the new boat position that replaces it.',
    'boat-kept': 'This waypoint is kept, and no new boat position is added in its place.',
    'boat-replaced': (distance: number) =>
      `This boat position was replaced by a new one ${inMeters(distance)} away. If you had moved it yourself, rename it in the input and run again.`,
    joined: (other: Place, distance: number) =>
      `This mark is left out of the merged file, as asked: the mark at ${other.file}:${other.line} has ${other.waypoint ? 'the same name' : 'no name either'} and is ${away(distance)}.`,
  }),
};
