import type { Diagnostic, Report } from '../../../shared/contract/index.ts';
import { gpxOutput as says } from '../../../shared/text/index.ts';
import { partnerElement, type Writing } from './addition-xml.ts';
import { editedWaypoints } from './edited-waypoints.ts';
import { applyEdits, type Edit, insertAt, orderEdits, replaceWith } from './edits.ts';
import { encodeFile } from './encoding.ts';
import type { EnrichedGpx, GpxDocument, GpxWaypoint, WaypointAddition } from './gpx-document.ts';
import type { GpxLayout } from './layout.ts';
import type { LedgerEntry } from './match-ledger.ts';
import { createNameAllocator, type NameAllocator } from './names.ts';
import { choosePrefix, declaration } from './namespaces.ts';
import type { GpxOutputOptions } from './output-options.ts';
import { outputWarnings } from './output-warnings.ts';
import { isReplaceable } from './partners.ts';
import { type AdditionPlan, planAdditions } from './plan-additions.ts';
import { splitEdited } from './split-gpx.ts';
import { fitComments } from './text-limit.ts';
import { checkValues, type ValidateOutput, verifyEdited } from './verify-output.ts';
import { removeWithSpace, waypointEdits } from './waypoint-edits.ts';

/**
 * Inserts additions into a GPX file in place of those of an earlier run.
 *
 * Waypoints without an addition lose what an earlier run added to them. The result is verified: taking the additions
 * out gives the bytes of the file.
 *
 * @param validate Receives each text that a second parser must accept before it is written.
 * @throws Refusal when the file cannot be split as requested.
 */
export function enrichGpx(
  document: GpxDocument,
  additions: readonly WaypointAddition[],
  options: GpxOutputOptions,
  validate: ValidateOutput,
): EnrichedGpx {
  checkValues(additions);
  const diagnostics: Diagnostic[] = [];
  const fitted = fitComments(document, additions, options, (diagnostic) => diagnostics.push(diagnostic));
  const plan = planAdditions(document, fitted, (diagnostic) => diagnostics.push(diagnostic));
  const prefix = choosePrefix(document.root);
  const writing: Writing = {
    encoding: document.encoding,
    prefix: prefix.prefix,
    isPlain: options.plain,
    isOld: document.version === '1.0',
    textIn: options.textIn === 'desc' ? 'desc' : 'cmt',
  };
  const given: LedgerEntry[] = [];
  const asked = [options.downslopeSymbol, options.upslopeSymbol].filter((symbol) => symbol !== undefined);
  const symbolOf = knownSymbols(options.symbols, asked);
  const unknown = [...new Set(asked)].filter((symbol) => symbolOf(symbol) !== symbol);
  if (unknown.length > 0) diagnostics.push(says.symbolsUnknown(document.file, unknown, symbolOf(unknown[0])));
  const usual = {
    downslopeSymbol: symbolOf(options.downslopeSymbol),
    upslopeSymbol: symbolOf(options.upslopeSymbol),
  };
  const inside = orderEdits(
    allEdits(document, plan, writing, { ...options, ...usual }, given, (diagnostic) =>
      diagnostics.push(diagnostic),
    ),
  );
  const isNeeded = !options.plain && plan.additions.size > 0;
  const edits = orderEdits([...declarationEdits(document, prefix, isNeeded, inside), ...inside]);
  const edited = edits.length === 0 ? document.utf8 : applyEdits(document.utf8, edits);
  const bytes = edits.length === 0 ? document.bytes : encodeFile(edited, document.encoding);
  const places = editedWaypoints(document, plan, edits);
  verifyEdited(document, edits, edited, bytes, places, validate);
  diagnostics.push(...outputWarnings(document, plan, bytes.length, options));
  return { parts: splitEdited(document, edited, bytes, places, options.maxWaypoints), given, diagnostics };
}

/** Keeps a symbol that the unit knows, in the unit's spelling; otherwise substitutes one that it knows. */
function knownSymbols(
  known: readonly string[] | undefined,
  asked: readonly string[],
): (symbol: string | undefined) => string | undefined {
  const spelled = new Map((known ?? []).map((symbol) => [symbol.toLowerCase(), symbol]));
  const instead = asked.find((symbol) => spelled.has(symbol.toLowerCase())) ?? known?.[0];
  return (symbol) =>
    symbol === undefined || spelled.size === 0
      ? symbol
      : (spelled.get(symbol.toLowerCase()) ?? spelled.get(instead!.toLowerCase()));
}

function allEdits(
  document: GpxDocument,
  plan: AdditionPlan,
  writing: Writing,
  options: GpxOutputOptions,
  given: LedgerEntry[],
  report: Report,
): Edit[] {
  const { waypoints, utf8 } = document;
  for (const { partner, fileIndex } of waypoints)
    if (plan.removed.has(fileIndex) && (partner === undefined || !isReplaceable(partner)))
      throw new Error(`Waypoint ${fileIndex} of ${document.file} is not provably ours and would be removed.`);
  const kept = waypoints.filter(({ fileIndex }) => !plan.removed.has(fileIndex));
  const names = createNameAllocator(
    kept.map(({ name }) => name),
    options,
  );
  const shown = kept.map(({ name }) => (name === '' ? '' : names.waypoint(name)));
  const edits = waypoints
    .filter(({ fileIndex }) => plan.removed.has(fileIndex))
    .map(({ place }) => removeWithSpace(utf8, place));
  let changed = 0;
  kept.forEach((waypoint, ordinal) => {
    if (waypoint.partner?.by === 'moved') return;
    const addition = plan.additions.get(waypoint.fileIndex);
    const shownName = shown[ordinal] === waypoint.name ? undefined : shown[ordinal];
    if (shownName !== undefined) changed++;
    const content =
      addition === undefined && shownName === undefined
        ? undefined
        : { values: addition?.values ?? [], comment: addition?.comment ?? '', shownName };
    const written = waypointEdits(utf8, waypoint, content, writing);
    edits.push(...written.edits);
    if (addition !== undefined) {
      const title = shown[ordinal] === '' ? `Waypoint ${ordinal + 1}` : shown[ordinal];
      edits.push(
        ...partnerEdits(document, waypoint, written.layout, addition, title, names, writing, options, given),
      );
    }
  });
  if (changed > 0 && options.plain) report(says.originalNamesNotKept(document.file, changed));
  return edits;
}

function partnerEdits(
  { root }: GpxDocument,
  { place, name: original, lat: ofLat, lon: ofLon }: GpxWaypoint,
  layout: GpxLayout,
  addition: WaypointAddition,
  title: string,
  names: NameAllocator,
  writing: Writing,
  options: GpxOutputOptions,
  given: LedgerEntry[],
): Edit[] {
  if (addition.partners.length === 0) return [];
  const prefix = place.tag.slice(0, Math.max(0, place.tag.indexOf(':')));
  const isInScope = (root.namespaces[prefix] ?? '') === place.uri;
  const tag = {
    name: place.tag,
    declaration: isInScope ? '' : ` xmlns${prefix === '' ? '' : `:${prefix}`}="${place.uri}"`,
  };
  const text = addition.partners.map((partner) => {
    const name = names.partner(title, partner.suffix, partner.isPlugins);
    const usual =
      partner.symbol ?? (partner.suffix === 'U' ? options.upslopeSymbol : options.downslopeSymbol);
    const symbol = partner.edits?.symbol ?? usual;
    const { lat, lon, suffix, comment } = partner;
    given.push({ name, lat, lon, of: original, suffix, ofLat, ofLon, comment, symbol: usual ?? '' });
    return partnerElement(writing, layout, tag, { ...partner, name, of: original, symbol });
  });
  return [insertAt(place.end, text.join(''))];
}

/**
 * Declares our namespace on the root when something of ours is written; removes the declaration when nothing is left.
 */
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

/** True when the edits remove every tag that ends at one of these places; both are in order. */
function removesAll(ends: readonly number[], edits: readonly Edit[]): boolean {
  let next = 0;
  return ends.every((end) => {
    while (next < edits.length && edits[next].end < end) next++;
    return next < edits.length && edits[next].start < end;
  });
}
