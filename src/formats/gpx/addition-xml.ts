import { escapeXml } from './escape-xml.ts';
import type { AddedValue, PartnerAddition } from './gpx-document.ts';
import type { GpxLayout } from './layout.ts';
import { BOAT_TYPE } from './partners.ts';
import type { Made } from './previous-additions.ts';

/** How additions are written to one file. */
export interface Writing {
  readonly encoding: string;
  /** Namespace prefix of our elements. */
  readonly prefix: string;
  readonly isPlain: boolean;
  /** True for GPX 1.0, which has no `extensions`. */
  readonly isOld: boolean;
  /** Element that receives the text of a boat position. */
  readonly textIn: 'cmt' | 'desc';
}

export function waypointElement(
  writing: Writing,
  layout: GpxLayout,
  deeper: number,
  made: readonly Made[],
  name: { readonly raw: string; readonly as: string } | undefined,
  values: readonly AddedValue[],
): string {
  const { prefix, encoding } = writing;
  const attributes = made.length === 0 ? '' : ` made="${made.join(' ')}"`;
  const record =
    name === undefined
      ? []
      : [`<${prefix}:name as="${escapeXml(name.as, encoding)}">${name.raw}</${prefix}:name>`];
  return element(writing, layout, deeper, 'waypoint', attributes, [
    ...record,
    ...valueElements(writing, values),
  ]);
}

/** Formats a boat position as a waypoint of its own, including the white space before the waypoint. */
export function partnerElement(
  writing: Writing,
  layout: GpxLayout,
  tag: { readonly name: string; readonly declaration: string },
  partner: PartnerAddition & { readonly name: string; readonly of: string; readonly symbol?: string },
): string {
  const { encoding } = writing;
  const lead = tag.name.slice(0, tag.name.indexOf(':') + 1);
  const text = (local: string, value: string): string =>
    `${layout.inner(0)}<${lead}${local}>${escapeXml(value, encoding)}</${lead}${local}>`;
  const lat = partner.lat.toFixed(7);
  const lon = longitude(partner.lon);
  let xml = `${layout.outer}<${tag.name}${tag.declaration} lat="${lat}" lon="${lon}">${text('name', partner.name)}`;
  // A boat position without our `boat` element may have come back with the text of a plugin, which was then
  // read as the user's note.
  const noted = partner.edits?.note ?? '';
  const note = noted.startsWith(partner.comment) ? noted.slice(partner.comment.length).trim() : noted;
  const [comment, description] =
    writing.textIn === 'cmt' ? [partner.comment, note] : ['', `${partner.comment} ${note}`.trim()];
  if (comment !== '') xml += text('cmt', comment);
  if (description !== '') xml += text('desc', description);
  if (partner.symbol !== undefined && partner.symbol !== '') xml += text('sym', partner.symbol);
  xml += text('type', BOAT_TYPE);
  if (!writing.isPlain) {
    const attributes = Object.entries({ of: partner.of, side: partner.suffix, name: partner.name, lat, lon })
      .map(([name, content]) => ` ${name}="${escapeXml(content, encoding)}"`)
      .join('');
    const deeper = writing.isOld ? 0 : 1;
    const values = valueElements(writing, partner.values);
    const boat = layout.inner(deeper) + element(writing, layout, deeper, 'boat', attributes, values);
    xml += writing.isOld
      ? boat
      : `${layout.inner(0)}<${lead}extensions>${boat}${layout.inner(0)}</${lead}extensions>`;
  }
  return `${xml}${layout.inner(0) === '' ? '' : layout.outer}</${tag.name}>`;
}

/** Formats a longitude in [-180, 180), as GPX 1.1 requires, with 7 decimals. */
function longitude(lon: number): string {
  const text = (((((lon + 180) % 360) + 360) % 360) - 180).toFixed(7);
  return text === '180.0000000' ? '-180.0000000' : text;
}

function valueElements({ prefix, encoding }: Writing, values: readonly AddedValue[]): string[] {
  return values.map(({ name, value, unit }) => {
    const attribute = unit === undefined ? '' : ` unit="${escapeXml(unit, encoding)}"`;
    return `<${prefix}:${name}${attribute}>${escapeXml(value, encoding)}</${prefix}:${name}>`;
  });
}

function element(
  { prefix }: Writing,
  layout: GpxLayout,
  deeper: number,
  local: string,
  attributes: string,
  children: readonly string[],
): string {
  if (children.length === 0) return `<${prefix}:${local}${attributes}/>`;
  const gap = layout.inner(deeper + 1);
  return `<${prefix}:${local}${attributes}>${gap}${children.join(gap)}${layout.inner(deeper)}</${prefix}:${local}>`;
}
