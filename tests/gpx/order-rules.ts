import { DOMParser, type Element, type Node } from '@xmldom/xmldom';

/** Order of children in GPX 1.1 (sequences of its schema, topografix.com/GPX/1/1). */
export const CHILDREN_11: Readonly<Record<string, readonly string[]>> = {
  gpx: ['metadata', 'wpt', 'rte', 'trk', 'extensions'],
  wpt: [
    'ele',
    'time',
    'magvar',
    'geoidheight',
    'name',
    'cmt',
    'desc',
    'src',
    'link',
    'sym',
    'type',
    'fix',
    'sat',
    'hdop',
    'vdop',
    'pdop',
    'ageofdgpsdata',
    'dgpsid',
    'extensions',
  ],
};
/** Order of children in GPX 1.0 (topografix.com/GPX/1/0); foreign elements come last. */
export const CHILDREN_10: Readonly<Record<string, readonly string[]>> = {
  gpx: [
    'name',
    'desc',
    'author',
    'email',
    'url',
    'urlname',
    'time',
    'keywords',
    'bounds',
    'wpt',
    'rte',
    'trk',
  ],
  wpt: [
    'ele',
    'time',
    'magvar',
    'geoidheight',
    'name',
    'cmt',
    'desc',
    'src',
    'url',
    'urlname',
    'sym',
    'type',
    'fix',
    'sat',
    'hdop',
    'vdop',
    'pdop',
    'ageofdgpsdata',
    'dgpsid',
  ],
};
const REPEATED = new Set(['wpt', 'rte', 'trk', 'link']);

/**
 * Returns violations of the GPX rules that an enriched waypoint could break: order of children, coordinates
 * in range, children of extensions in another namespace.
 */
export function orderFaults(text: string): string[] {
  const document = new DOMParser({ locator: false, onError: () => undefined }).parseFromString(
    text,
    'text/xml',
  );
  const root = document.documentElement;
  if (root === null) return ['no root'];
  const uri = root.namespaceURI ?? '';
  const order = uri.endsWith('1/0') ? CHILDREN_10 : CHILDREN_11;
  const faults = childFaults(root, order.gpx, uri);
  for (const waypoint of elements(root).filter(({ localName }) => localName === 'wpt')) {
    faults.push(...childFaults(waypoint, order.wpt, uri));
    const lat = Number(waypoint.getAttribute('lat') || 'x');
    const lon = Number(waypoint.getAttribute('lon') || 'x');
    if (!(lat >= -90 && lat <= 90)) faults.push(`lat ${waypoint.getAttribute('lat')}`);
    if (!(lon >= -180 && lon < 180)) faults.push(`lon ${waypoint.getAttribute('lon')}`);
    for (const child of elements(waypoint).filter(({ localName }) => localName === 'extensions')) {
      for (const inner of elements(child)) {
        if (inner.namespaceURI === null || inner.namespaceURI === uri)
          faults.push(`extension child ${inner.tagName}`);
      }
    }
  }
  return faults;
}

function childFaults(parent: Element, order: readonly string[], uri: string): string[] {
  const faults: string[] = [];
  let last = -1;
  for (const child of elements(parent)) {
    const isOwn = child.namespaceURI === uri;
    const place = isOwn ? order.indexOf(child.localName ?? '') : order.length;
    if (place < 0) faults.push(`${child.tagName} in ${parent.tagName}`);
    else if (place < last) faults.push(`${child.tagName} after ${order[last] ?? 'a foreign element'}`);
    else if (place === last && isOwn && !REPEATED.has(child.localName ?? ''))
      faults.push(`two ${child.tagName}`);
    last = Math.max(last, place);
  }
  return faults;
}

const elements = (parent: Element): Element[] =>
  Array.from(parent.childNodes as unknown as Iterable<Node>).filter(
    (node): node is Element => node.nodeType === 1,
  );
