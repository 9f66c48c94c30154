import { inKilometers, inMeters, type Place } from '../../contract/index.ts';
import { counted, messages, quote } from './make.ts';

export const gpxMessages = {
  ...messages('gpx', 'error', {
    empty: 'This file is empty. Export the waypoints again.',
    'not-gpx': (kind: string) => `This is ${kind}, not GPX. Give the GPX file itself.`,
    'not-gpx root': (tag: string) => `This XML file begins with <${tag}>, not with <gpx>. Give a GPX file.`,
    'encoding unknown': (encoding: string) =>
      `This file cannot be read: its encoding ${quote(encoding)} is unknown. Save it as UTF-8, or pass --repair.`,
    'encoding bytes': (encoding: string) =>
      `This file cannot be read: it says it is ${encoding}, but a byte here is not. Save it as UTF-8, or pass --repair.`,
    'encoding not-kept': (encoding: string) =>
      `Nothing is written: bytes here would not come back the same in ${encoding}. Save the file as UTF-8.`,
    doctype:
      'This file is not read: it has a <!DOCTYPE ...>, which GPX never needs. If you trust the file, remove that part.',
    'xml mark':
      'This file cannot be read: it begins with two byte-order marks. Remove one, or pass --repair.',
    depth: (limit: number) =>
      `This file is not read: its elements are nested more than ${limit} deep. Check where it comes from.`,
    attributes: (tag: string, limit: number) =>
      `This file is not read: <${tag}> has more than ${limit} attributes. Check where it comes from.`,
    xml: (found: string, advice: string) => `This file cannot be read here: ${found}. ${advice}`,
    truncated: (tag: string, startLine: number) =>
      `This file is cut short: it ends inside the <${tag}> of line ${startLine}. Copy it again, or add --repair to keep what is whole.`,
    tail: (bytes: number, value: string) =>
      `This file is damaged: ${bytes} ${value} bytes follow its end. Copy it again, or add --repair to leave them out.`,
    'merge-version': (version: string, first: string, firstVersion: string) =>
      `These files cannot be merged: this one is GPX ${version} and ${first} is GPX ${firstVersion}. Save both in the same version.`,
  }),
  ...messages('gpx', 'warning', {
    version: (version: string) =>
      `Read as GPX 1.1: this file says version ${quote(version)}, which is neither 1.0 nor 1.1. Check the output on your unit.`,
    'encoding mark': (declared: string, used: string) =>
      `Read as ${used}, because its first bytes say so. Its XML declaration says ${quote(declared)}.`,
    'encoding latin-1':
      'Read as windows-1252 and written back as it is: the file says ISO-8859-1, which lacks some of its characters.',
    repaired: (what: string) => `Repaired, as asked: ${what}.`,
    'tail left-out': (bytes: number, value: string) =>
      `The ${bytes} ${value} bytes after the end of the file were left out, as asked.`,
    'truncated left-out': (bytes: number) =>
      `The last ${bytes} bytes, an element cut short, were left out, as asked. Everything before them is kept.`,
    namespace: (uri: string) =>
      uri === ''
        ? 'Read as it is, though <gpx> has no namespace. Your unit may not read the output.'
        : `Read as it is, though its namespace ${quote(uri)} is not that of GPX 1.0 or 1.1. Your unit may not read the output.`,
    'xml-version': 'Many units will not read this file: it is XML 1.1. Save it as XML 1.0.',
    newer: (uri: string) =>
      `Elements of a newer downslope (${quote(uri)}) were kept as they are. Update downslope to use them.`,
    extensions: 'Only the last <extensions> of this waypoint is used: it has more than one.',
    'coordinates missing': (which: 'lat' | 'lon') =>
      `Nothing is worked out for this waypoint: it has no ${which}. It is kept as it is.`,
    'coordinates comma': (which: 'lat' | 'lon', found: string) =>
      `Nothing is worked out for this waypoint: its ${which} ${quote(found)} has a comma. Write it with a point.`,
    coordinates: (which: 'lat' | 'lon', found: string) =>
      `Nothing is worked out for this waypoint: its ${which} ${quote(found)} is not a number. It is kept as it is.`,
    'coordinates range': (which: 'lat' | 'lon', found: string, isSwapped: boolean) =>
      `Nothing is worked out for this waypoint: its ${which} ${quote(found)} is outside ${which === 'lat' ? '-90 to 90' : '-180 to 180'} degrees. ${isSwapped ? 'Latitude and longitude swapped? ' : ''}It is kept as it is.`,
    'coordinates exponent': (which: 'lat' | 'lon', found: string) =>
      `Some units will not read this waypoint: its ${which} ${quote(found)} has an exponent. Write it as a plain decimal.`,
    /** @param names Names of some of the distant marks. @param rest Number of the other marks. */
    'marks-apart': (
      names: readonly string[],
      count: number,
      rest: number,
      distance: number,
      isSwapped: boolean,
    ) => [
      `${count === 1 ? 'This mark is' : 'These marks are'} ${inKilometers(distance)} from the other ${rest}: ${names.map(quote).join(', ')}${names.length < count ? ' ...' : ''}. ${isSwapped ? 'Latitude and longitude swapped? Correct them on the unit or in the file.' : `${count === 1 ? 'Is it a mark' : 'Are they marks'} of another lake?`}`,
      { count, severity: isSwapped ? 'warning' : 'note' },
    ],
    time: (found: string) =>
      `The time ${quote(found)} is not used: it is not written as YYYY-MM-DDTHH:MM:SSZ.`,
    'near-duplicate': (other: Place, distance: number) =>
      `Perhaps the same mark twice: ${quote(other.waypoint ?? '')} of ${other.file}:${other.line} is only ${inMeters(distance, 1)} away. Both are kept; add --join to merge marks with the same name.`,
    'track-point': counted(
      'Track points were left out: their lat or lon is missing or outside -90 to 90 and -180 to 180 degrees.',
    ),
    'track-depth': counted('Depths of track points were left out: they are not numbers in a known unit.'),
    'track-time': counted(
      'Times of track points were left out: they are not written as YYYY-MM-DDTHH:MM:SSZ.',
    ),
  }),
  ...messages('gpx', 'note', {
    'boat-position': (of: string) =>
      `Not enriched: by name and place this is a boat position of ${quote(of)} from an earlier run. If it is your own mark, rename it.`,
    'plan-stop':
      'Not enriched: its type or comment says it is a stop of a day plan. If it is your own mark, change its comment.',
    'boat-moved': 'This boat position stays where you moved it.',
    /** @param written Name under which the boat position was given out. */
    'boat-maybe-moved': (written: string, isLikely: boolean) =>
      isLikely
        ? `Kept, not enriched: this may be our boat position ${quote(written)}, moved by you. If it is your own mark, give it a different name.`
        : `Taken as your own mark: it may be our boat position ${quote(written)}, moved by you. If it is, delete it.`,
    'boat-edited': 'What you wrote on this boat position was moved to the one that replaces it.',
    'boat-kept': 'No boat position is added: one of your waypoints is already there.',
    'boat-replaced': (distance: number) =>
      `This boat position was replaced by one ${inMeters(distance)} away. If you moved it yourself, rename it in the input to keep it.`,
    joined: (other: Place, distance: number) =>
      `Left out of the merged file, as asked: a mark with the same name is ${inMeters(distance, 1)} away at ${other.file}:${other.line}.`,
  }),
};
