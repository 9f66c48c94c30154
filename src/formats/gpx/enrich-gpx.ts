import { groupBy } from 'es-toolkit/array';
import type { Diagnostic, Report } from '../../../shared/contract/index.ts';
import { gpxOutputMessages as says } from '../../../shared/text/index.ts';
import { partnerElement, type Writing } from './addition-xml.ts';
import { applyEdits, type Edit, insertAt, orderEdits, replaceWith } from './edits.ts';
import { asBuffer, encodeFile } from './encoding.ts';
import type { EnrichedGpx, GpxDocument, GpxWaypoint, WaypointAddition } from './gpx-document.ts';
import type { LedgerEntry } from './match-ledger.ts';
import { createNameAllocator } from './names.ts';
import { choosePrefix, declaration } from './namespaces.ts';
import type { GpxOutputOptions } from './output-options.ts';
import { outputWarnings } from './output-warnings.ts';
import { isReplaceable } from './partners.ts';
import { type AdditionPlan, planAdditions } from './plan-additions.ts';
import { editedPlaces, splitEdited } from './split-gpx.ts';
import { fitComments } from './text-limit.ts';
import { checkValues, verifyEdited } from './verify-output.ts';
import { removeWithSpace, waypointEdits } from './waypoint-edits.ts';

/**
 * Inserts additions into a GPX file in place of the additions of an earlier run.
 *
 * Waypoints without an addition lose what an earlier run added to them, except boat positions that are known
 * only by name and place, or that the user moved or edited. The result is verified: undoing all edits must
 * give the bytes of the file.
 *
 * @throws Refusal when the file cannot be split as requested, or when a second parser refuses the result.
 * @throws Error for a defect: a value that cannot be written, or edits that cannot be undone.
 */
export function enrichGpx(
  document: GpxDocument,
  additions: readonly WaypointAddition[],
  options: GpxOutputOptions,
): EnrichedGpx {
  checkValues(additions);
  const diagnostics: Diagnostic[] = [];
  const report: Report = (diagnostic) => void diagnostics.push(diagnostic);
  const fitted = fitComments(document, additions, options, report);
  const plan = planAdditions(document, fitted, report);
  const prefix = choosePrefix(document.root);
  const writing: Writing = {
    encoding: document.encoding,
    prefix: prefix.prefix,
    isPlain: options.plain,
    isOld: document.version === '1.0',
    textIn: options.textIn === 'desc' ? 'desc' : 'cmt',
  };
  const given: LedgerEntry[] = [];
  const symbols = knownSymbols(document, options, report);
  const inside = orderEdits(allEdits(document, plan, writing, { ...options, ...symbols }, given, report));
  const isNeeded = inside.some(({ bytes }) => asBuffer(bytes).includes(`<${prefix.prefix}:`));
  const edits = orderEdits([...declarationEdits(document, prefix, isNeeded, inside), ...inside]);
  const edited = edits.length === 0 ? document.utf8 : applyEdits(document.utf8, edits);
  const bytes = edits.length === 0 ? document.bytes : encodeFile(edited, document.encoding);
  const places = editedPlaces(document, plan, edits);
  verifyEdited(document, edits, edited, bytes, places);
  const limits = outputWarnings(document, plan, bytes.length, options);
  const parts = splitEdited(document, edited, bytes, places, options.maxWaypoints);
  return { parts, given, diagnostics, limits };
}

/** Replaces option symbols that the chartplotter lacks or spells differently, and reports the changes. */
function knownSymbols(
  { file }: GpxDocument,
  { symbols: known = [], downslopeSymbol, upslopeSymbol }: GpxOutputOptions,
  report: Report,
) {
  const spelled = new Map(known.map((symbol) => [symbol.toLowerCase(), symbol]));
  const asked = [...new Set([downslopeSymbol, upslopeSymbol].filter((symbol) => symbol !== undefined))];
  const instead = asked.find((symbol) => spelled.has(symbol.toLowerCase())) ?? known[0];
  const symbolOf = (symbol: string | undefined): string | undefined =>
    symbol === undefined || known.length === 0
      ? symbol
      : (spelled.get(symbol.toLowerCase()) ?? spelled.get(instead.toLowerCase()));
  const unknown = asked.filter((symbol) => symbolOf(symbol) !== symbol);
  const replaced = groupBy(unknown, (symbol) => symbolOf(symbol) ?? '');
  for (const [symbol, asked] of Object.entries(replaced)) report(says.symbol({ file }, asked, symbol));
  return { downslopeSymbol: symbolOf(downslopeSymbol), upslopeSymbol: symbolOf(upslopeSymbol) };
}

function allEdits(
  document: GpxDocument,
  plan: AdditionPlan,
  writing: Writing,
  options: GpxOutputOptions,
  given: LedgerEntry[],
  report: Report,
): Edit[] {
  const { waypoints, utf8, file } = document;
  const removed = waypoints.filter(({ fileIndex }) => plan.removed.has(fileIndex));
  for (const { partner, fileIndex } of removed)
    if (partner === undefined || !isReplaceable(partner))
      throw new Error(`Waypoint ${fileIndex} of ${file} is not provably ours and would be removed.`);
  const edits = removed.map(({ place }) => removeWithSpace(utf8, place));
  const kept = waypoints.filter(({ fileIndex }) => !plan.removed.has(fileIndex));
  const names = createNameAllocator(
    kept.map(({ name }) => name),
    options,
  );
  const shown = kept.map(({ name }) => (name === '' ? '' : names.waypoint(name)));
  let changed = 0;
  kept.forEach((waypoint, ordinal) => {
    if (waypoint.partner?.by === 'moved') return;
    const addition = plan.additions.get(waypoint.fileIndex);
    const shownName = shown[ordinal] === waypoint.name ? undefined : shown[ordinal];
    if (shownName !== undefined) changed++;
    const isChanged = addition !== undefined || shownName !== undefined;
    const { values = [], comment = '' } = addition ?? {};
    const content = isChanged ? { values, comment, shownName } : undefined;
    const written = waypointEdits(utf8, waypoint, content, writing);
    edits.push(...written.edits);
    const title = shown[ordinal] === '' ? `Waypoint ${ordinal + 1}` : shown[ordinal];
    const partners = (addition?.partners ?? []).map((partner) => {
      const name = names.partner(title, partner.suffix, partner.isPlugins);
      const usual =
        partner.symbol ?? (partner.suffix === 'U' ? options.upslopeSymbol : options.downslopeSymbol);
      const { lat, lon, suffix, comment } = partner;
      const { name: of, lat: ofLat, lon: ofLon } = waypoint;
      given.push({ name, lat, lon, of, suffix, ofLat, ofLon, comment, symbol: usual ?? '' });
      const symbol = partner.edits?.symbol ?? usual;
      return partnerElement(writing, written.layout, tagLike(document, waypoint), {
        ...partner,
        name,
        of,
        symbol,
      });
    });
    if (partners.length > 0) edits.push(insertAt(waypoint.place.end, partners.join('')));
  });
  if (changed > 0 && options.plain) report(says['names-changed']({ file }, changed));
  return edits;
}

/** Returns the tag for a new waypoint beside an existing one, with a namespace declaration if needed. */
function tagLike({ root }: GpxDocument, { place: { tag, uri } }: GpxWaypoint) {
  const prefix = tag.slice(0, Math.max(0, tag.indexOf(':')));
  const isInScope = (root.namespaces[prefix] ?? '') === uri;
  return { name: tag, declaration: isInScope ? '' : ` xmlns${prefix === '' ? '' : `:${prefix}`}="${uri}"` };
}

/** Returns edits that declare our namespace on the root if needed, or remove our unused declaration. */
function declarationEdits(
  { root, utf8, ours }: GpxDocument,
  { prefix, isDeclared }: { readonly prefix: string; readonly isDeclared: boolean },
  isNeeded: boolean,
  edits: readonly Edit[],
): Edit[] {
  const at = root.start + 1 + Buffer.byteLength(root.tag);
  if (isNeeded) return isDeclared ? [] : [insertAt(at, declaration(prefix))];
  if (!isDeclared || !removesAll(ours, edits)) return [];
  const written = declaration(prefix);
  const isAsWritten = Buffer.from(utf8.subarray(at, at + written.length)).toString('latin1') === written;
  return isAsWritten ? [replaceWith(at, at + written.length, '')] : [];
}

/** True when the edits remove every tag that ends at one of `ends`. Ends and edits are in ascending order. */
function removesAll(ends: readonly number[], edits: readonly Edit[]): boolean {
  let next = 0;
  return ends.every((end) => {
    while (next < edits.length && edits[next].end < end) next++;
    return next < edits.length && edits[next].start < end;
  });
}
