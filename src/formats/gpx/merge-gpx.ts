import { type Diagnostic, defaultsOf, Refusal, type Report } from '../../../shared/contract/index.ts';
import { gpxMessages as says } from '../../../shared/text/index.ts';
import { applyEdits, type Edit, insertAt, orderEdits } from './edits.ts';
import { asBuffer, canEncode, encodeFile } from './encoding.ts';
import { enrichGpx } from './enrich-gpx.ts';
import { escapeXml, withReferences } from './escape-xml.ts';
import { type GpxDocument, type GpxWaypoint, markPlace } from './gpx-document.ts';
import { layoutOf } from './layout.ts';
import type { LedgerEntry } from './match-ledger.ts';
import { foldCase } from './names.ts';
import { createNearIndex, type FindNear, nearDistance } from './near.ts';
import { gpxOutputOptions } from './output-options.ts';
import { isReplaceable } from './partners.ts';
import { readGpx } from './read-gpx.ts';

/** Maximum distance, m, between waypoints of different files that are probably the same mark; judgment. */
const NEAR = 10;

/**
 * Merges files into one: the first file, with the waypoints of the other files inserted after its own.
 *
 * Waypoints of the other files are copied with the namespaces they need, without our additions if the file
 * has our elements. Routes, tracks and metadata are not copied. Boat positions of an earlier run are left
 * out, since the run makes new ones, unless they are known only by name and place, or the user moved or
 * edited them. Near duplicates are reported.
 *
 * @param join Maximum distance, m, between waypoints that become one because they have the same name. By
 * default no waypoints become one.
 * @param given Boat positions written by earlier runs.
 * @throws Refusal when the files have different GPX versions or namespaces.
 */
export function mergeGpx(
  documents: readonly GpxDocument[],
  { join, given }: { readonly join?: number; readonly given?: readonly LedgerEntry[] },
) {
  const [first, ...others] = documents;
  const diagnostics: Diagnostic[] = [];
  const marks = first.waypoints.filter(({ partner }) => partner === undefined);
  const pieces: string[] = [];
  const last = first.waypoints.at(-1);
  const outer = last === undefined ? '\n  ' : layoutOf(first.utf8, last.place, []).outer;
  for (const document of others) {
    const other = withoutAdditions(document, given);
    const { file, version, root } = other;
    if (version !== first.version)
      throw new Refusal([says['merge-version']({ file }, version, first.file, first.version)]);
    if (root.uri !== first.root.uri)
      throw new Refusal([says['merge-version namespaces']({ file }, root.uri, first.file, first.root.uri)]);
    const find = createNearIndex(() => marks);
    const own = other.waypoints.filter((waypoint) => !isUnchangedBoat(waypoint));
    for (const waypoint of own) {
      if (isJoined(waypoint, find, join, (diagnostic) => diagnostics.push(diagnostic))) continue;
      pieces.push(outer + copyOf(other, waypoint, first));
    }
    marks.push(...own);
  }
  const edits = orderEdits(insertionOf(first, pieces.join('')));
  const bytes = encodeFile(applyEdits(first.utf8, edits), first.encoding);
  return { document: readGpx(bytes, first.file, { given }), diagnostics };
}

const isUnchangedBoat = ({ partner }: GpxWaypoint): boolean =>
  partner !== undefined && partner.edits === undefined && isReplaceable(partner);

function withoutAdditions(document: GpxDocument, given: readonly LedgerEntry[] | undefined): GpxDocument {
  if (document.ours.length === 0) return document;
  const [{ bytes }] = enrichGpx(document, [], defaultsOf(gpxOutputOptions)).parts;
  return readGpx(bytes, document.file, { given });
}

/** True when a waypoint becomes one with an earlier waypoint. Reports joins and near duplicates. */
function isJoined(
  waypoint: GpxWaypoint,
  find: FindNear<GpxWaypoint>,
  join: number | undefined,
  report: Report,
): boolean {
  if (!waypoint.canEnrich) return false;
  const near = find(waypoint, Math.max(NEAR, join ?? 0)).sort(
    (a, b) => nearDistance(waypoint, a) - nearDistance(waypoint, b),
  );
  const same = near.find(
    (other) =>
      foldCase(other.name) === foldCase(waypoint.name) && nearDistance(waypoint, other) <= (join ?? -1),
  );
  if (same !== undefined) {
    report(says.joined(markPlace(waypoint), markPlace(same), nearDistance(waypoint, same)));
    return true;
  }
  const other = near[0];
  if (other !== undefined && nearDistance(waypoint, other) <= NEAR) {
    const isSameName = foldCase(other.name) === foldCase(waypoint.name);
    const distance = nearDistance(waypoint, other);
    report(
      says['near-duplicate'](markPlace(waypoint), markPlace(other), distance, isSameName ? NEAR : undefined),
    );
  }
  return false;
}

/** Returns a waypoint's XML for another file, with the namespaces and character references needed there. */
function copyOf(from: GpxDocument, { place }: GpxWaypoint, to: GpxDocument): string {
  const xml = asBuffer(from.utf8).toString('utf8', place.start, place.end);
  const nameEnd = 1 + place.tag.length;
  const startTag = asBuffer(from.utf8).toString('utf8', place.start, place.startTagEnd);
  const needed = Object.entries(from.root.namespaces).filter(([prefix, uri]) => {
    const isUsed = prefix === '' || xml.includes(`${prefix}:`);
    const isDeclared = new RegExp(`\\sxmlns${prefix === '' ? '' : `:${prefix}`}\\s*=`).test(startTag);
    return isUsed && !isDeclared && to.root.namespaces[prefix] !== uri;
  });
  // Elements without a namespace must not end up in the default namespace of the other root.
  const hasPlain = /<(?![/!?])[^:\s/>]+[\s/>]/.test(xml);
  if (hasPlain && from.root.namespaces[''] === undefined && to.root.namespaces['']) needed.push(['', '']);
  const declarations = needed
    .map(
      ([prefix, uri]) =>
        ` xmlns${prefix === '' ? '' : `:${prefix}`}="${uri.replaceAll('&', '&amp;').replaceAll('"', '&quot;')}"`,
    )
    .join('');
  const declared = xml.slice(0, nameEnd) + declarations + xml.slice(nameEnd);
  if (canEncode(declared, to.encoding)) return declared;
  // A character reference has no effect inside CDATA, so CDATA sections become plain text first.
  const plain = declared.replace(/<!\[CDATA\[([\s\S]*?)\]\]>/g, (_, text: string) =>
    escapeXml(text, to.encoding),
  );
  return withReferences(plain, to.encoding);
}

/** Returns edits that put a text after the last waypoint, else before the first route, track or end tag. */
function insertionOf({ waypoints, root, lines, utf8 }: GpxDocument, text: string): Edit[] {
  if (text === '') return [];
  const last = waypoints.at(-1);
  if (last !== undefined) return [insertAt(last.place.end, text)];
  if (root.isSelfClosing) {
    return [
      { start: root.startTagEnd - 2, end: root.startTagEnd - 1, bytes: new Uint8Array(0) },
      insertAt(root.startTagEnd, `${text}\n</${root.tag}>`),
    ];
  }
  const before = lines[0]?.start ?? root.endTagStart;
  const end = asBuffer(utf8).lastIndexOf('>', before - 1) + 1;
  return [insertAt(end, text)];
}
