import type { SaxesTagNS } from 'saxes';
import type { Place, Report } from '../../../shared/contract/index.ts';
import { parseDepth, parseXmlTime, gpxMessages as says } from '../../../shared/text/index.ts';
import type { ElementPlace, GpxWaypoint } from './gpx-document.ts';
import { NAMESPACE } from './namespaces.ts';
import { originalName, withoutSummary } from './previous-additions.ts';
import type { XmlScanner } from './scan-xml.ts';
import { isPlanStop, readPosition } from './waypoint-fields.ts';

/** Names of the GPX children of a waypoint whose text is read. */
const READ = new Set(['name', 'cmt', 'desc', 'sym', 'type', 'time']);

interface OpenElement extends ElementPlace {
  end: number;
  readonly children: ElementPlace[];
  text: string;
}

interface OpenWaypoint {
  readonly element: OpenElement;
  readonly line: number;
  readonly lat: string | undefined;
  readonly lon: string | undefined;
  depth: number | undefined;
  isDepthUnitKnown: boolean;
}

export function createWaypointReader(utf8: Uint8Array, file: string, report: Report) {
  const found: GpxWaypoint[] = [];
  /** Open elements, the waypoint first; undefined for elements that are not needed. */
  const open: (OpenElement | undefined)[] = [];
  let waypoint: OpenWaypoint | undefined;

  const start = (tag: SaxesTagNS, scanner: XmlScanner): OpenElement => {
    const end = scanner.offset();
    return {
      start: utf8.lastIndexOf(0x3c, end - 1),
      startTagEnd: end,
      end,
      isSelfClosing: tag.isSelfClosing,
      tag: tag.name,
      local: tag.local,
      uri: tag.uri,
      children: [],
      attributes: tag.uri === NAMESPACE || tag.local === 'depth' ? plainAttributes(tag) : undefined,
      text: '',
    };
  };
  return {
    found,
    isInside: (): boolean => waypoint !== undefined,
    open(tag: SaxesTagNS, scanner: XmlScanner): void {
      if (waypoint === undefined) {
        const element = start(tag, scanner);
        const line = scanner.line - lineBreaks(utf8, element.start, element.startTagEnd);
        waypoint = {
          element,
          line,
          lat: tag.attributes.lat?.value,
          lon: tag.attributes.lon?.value,
          depth: undefined,
          isDepthUnitKnown: false,
        };
        open.push(element);
        return;
      }
      const isChild = open.length === 1;
      const isRead = isChild && tag.uri === waypoint.element.uri && READ.has(tag.local);
      const isOurs = tag.uri === NAMESPACE;
      const isFirstDepth = isDepth(tag) && waypoint.depth === undefined;
      const parent = open[open.length - 1];
      if (isChild || isOurs || isFirstDepth || parent?.local === 'extensions') {
        const element = start(tag, scanner);
        open.push(element);
        parent?.children.push(element);
        if (isRead || isOurs || isFirstDepth) {
          scanner.capture((text) => {
            element.text += text;
          });
        }
      } else open.push(undefined);
    },
    close(tag: SaxesTagNS, scanner: XmlScanner): void {
      if (waypoint === undefined) return;
      const element = open.pop();
      // Text after a child is ignored, since values are in elements without children.
      if (element !== undefined) {
        scanner.capture(undefined);
        element.end = scanner.offset();
        if (isDepth(tag) && waypoint.depth === undefined) takeDepthOf(element, waypoint);
      }
      if (open.length > 0) return;
      found.push(finish(waypoint, file, found.length, report));
      waypoint = undefined;
    },
  };
}

const isDepth = ({ local, uri }: SaxesTagNS): boolean => local === 'depth' && uri !== NAMESPACE;

function takeDepthOf({ text, attributes }: OpenElement, waypoint: OpenWaypoint): void {
  const unit = attributes?.unit ?? attributes?.units ?? attributes?.uom;
  const depth = parseDepth(text, unit);
  if (Number.isNaN(depth)) return;
  waypoint.depth = depth;
  waypoint.isDepthUnitKnown = unit !== undefined || /[a-z]\W*$/i.test(text);
}

function finish(waypoint: OpenWaypoint, file: string, fileIndex: number, report: Report): GpxWaypoint {
  const { element, line } = waypoint;
  const texts = textsOf(element);
  const text = (local: string): string => texts.get(local) ?? '';
  const name = originalName(element) ?? text('name');
  const place: Place = { file, line, ...(name === '' ? {} : { waypoint: name }) };
  const position = readPosition(waypoint.lat, waypoint.lon, place, report);
  const extensions = element.children.filter(
    (child) => child.local === 'extensions' && child.uri === element.uri,
  );
  if (extensions.length > 1) report(says.extensions(place));
  const isStop = isPlanStop(text('type'), text('cmt'));
  if (isStop) report(says['plan-stop'](place));
  const timeText = text('time');
  const time = timeText === '' ? Number.NaN : parseXmlTime(timeText);
  if (timeText !== '' && Number.isNaN(time)) report(says.time(place, timeText));
  return {
    file,
    fileIndex,
    line,
    lat: position?.lat ?? Number.NaN,
    lon: position?.lon ?? Number.NaN,
    name,
    comment: withoutSummary(text('cmt')),
    description: withoutSummary(text('desc')),
    isSummarized: ['cmt', 'desc'].some((local) => withoutSummary(text(local)) !== text(local)),
    symbol: text('sym'),
    type: text('type'),
    ...(waypoint.depth === undefined
      ? {}
      : { depth: waypoint.depth, isDepthUnitKnown: waypoint.isDepthUnitKnown }),
    ...(Number.isNaN(time) ? {} : { time }),
    canEnrich: position !== undefined && !isStop,
    place: element,
  };
}

/** Returns the text of each GPX child of a waypoint by name. The first child counts if a name is repeated. */
function textsOf({ children, uri }: OpenElement): Map<string, string> {
  const texts = new Map<string, string>();
  for (const child of children) {
    if (child.uri === uri && !texts.has(child.local)) texts.set(child.local, child.text?.trim() ?? '');
  }
  return texts;
}

function plainAttributes(tag: SaxesTagNS): Readonly<Record<string, string>> {
  return Object.fromEntries(Object.values(tag.attributes).map(({ local, value }) => [local, value]));
}

function lineBreaks(bytes: Uint8Array, start: number, end: number): number {
  let count = 0;
  for (let i = start; i < end; i++) {
    if (bytes[i] === 0x0a || (bytes[i] === 0x0d && bytes[i + 1] !== 0x0a)) count++;
  }
  return count;
}
