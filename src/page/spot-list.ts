import {
  type CastPlan,
  type DisplayUnits,
  type EnrichedWaypoint,
  fromMeters,
} from '../../shared/contract/index.ts';
import { rankCasts } from '../../shared/retrieve/index.ts';
import {
  angleName,
  depthRange,
  depthText,
  isProposed,
  lengthNumber,
  lengthText,
  lengthUnit,
  percentOf,
  sideName,
} from '../../shared/text/index.ts';
import { bearingWords, spotName } from './figure-words.ts';
import { hasProblem, SIGN } from './lake-marks.ts';
import { escapeText } from './svg.ts';

/** Sort keys of the list, with the words shown to the user and the rank of a spot: lower ranks come first. */
const SORT_KEYS: readonly (readonly [
  key: string,
  words: string,
  rank: (spot: EnrichedWaypoint) => number | string,
])[] = [
  ['number', 'number', ({ waypoint }) => waypoint.index],
  ['name', 'name', (spot) => spotName(spot).toLowerCase()],
  ['structure', 'structure', ({ fields }) => fields.structure ?? '\uffff'],
  ['confidence', 'confidence', ({ fields }) => -(fields.structure_confidence ?? -1)],
  ['depth', 'depth', ({ fields }) => fields.depth ?? Number.POSITIVE_INFINITY],
  ['contact', 'length among the fish', ({ fields }) => -(rankCasts(fields)[0]?.worth ?? -1)],
];

/** Minimum values offered by the filters. */
const CONFIDENCES = [50, 70, 85];
const CONTACTS = [5, 10, 20];
const DEPTH_STEP = { ft: 10, m: 3 } as const;

/**
 * Sortable, filterable list of all spots.
 *
 * Sorting and filtering are style rules that depend on the chosen options, so they need no script. The page's
 * script then puts the rows in that order for the keyboard and for screen readers, counts them, and adds the
 * search by name.
 */
export function spotList(
  spots: readonly EnrichedWaypoint[],
  units: DisplayUnits,
): { readonly markup: string; readonly style: string } {
  const ranks = SORT_KEYS.map(([, , rank]) => ranksOf(spots, rank));
  const rows = spots.map((spot, i) => {
    const own = ranks.map((rank) => rank[i]);
    return row(spot, own, units);
  });
  const words = [...new Set(spots.flatMap(({ fields }) => fields.structure ?? []))].sort();
  const depths = spots.flatMap(({ fields }) => fields.depth ?? []);
  const steps = [...new Set(depths.map((depth) => depthStep(depth, units)))].sort((a, b) => a - b);
  const markup = [
    controls(words, steps, units),
    '<div class="scroller"><table id="list" role="table" aria-describedby="list-note">',
    '<thead role="rowgroup"><tr role="row">',
    HEADS.map(
      ([head, key]) =>
        `<th role="columnheader" scope="col"${key === undefined ? '' : ` data-key="${key}"`}>${head}</th>`,
    ).join(''),
    '</tr></thead>',
    `<tbody id="rows" role="rowgroup">${rows.join('')}</tbody></table></div>`,
    `<p id="list-note" class="soft">Sure: how sure the structure is. Boat, cast and contact are those of the first choice; among fish is the length on bottom among them, or through fish off the bottom. Bearings are magnetic (M) where they can be, else true (T).</p>`,
  ].join('');
  return { markup, style: listStyle(spots, ranks, words, steps) };
}

/** Headings of the columns, with their sort keys. */
const HEADS: readonly (readonly [head: string, key?: string])[] = [
  ['No.', 'number'],
  ['Spot', 'name'],
  ['Structure', 'structure'],
  ['Sure', 'confidence'],
  ['Depth', 'depth'],
  ['Fish'],
  ['Boat in'],
  ['Cast'],
  ['On bottom'],
  ['Among fish', 'contact'],
];

/** Position of each spot in one sort order, from 0; equal values keep input order. */
function ranksOf(
  spots: readonly EnrichedWaypoint[],
  rank: (spot: EnrichedWaypoint) => number | string,
): number[] {
  const values = spots.map(rank);
  const order = [...spots.keys()].sort((a, b) => compare(values[a], values[b]));
  const ranks: number[] = [];
  for (const [place, spot] of order.entries()) ranks[spot] = place;
  return ranks;
}

const compare = (a: number | string, b: number | string): number => (a < b ? -1 : a > b ? 1 : 0);

function row(spot: EnrichedWaypoint, ranks: readonly number[], units: DisplayUnits): string {
  const { fields, waypoint } = spot;
  const number = waypoint.index + 1;
  const confidence = fields.structure_confidence;
  const first = rankCasts(fields)[0];
  const cells: [label: string, text: string][] = [
    [
      'Structure',
      `${fields.structure ?? STATUS_WORDS[fields.status ?? 'no-data'] ?? '\u2013'}${isProposed(waypoint) ? ', not fished' : ''}`,
    ],
    ['Sure', confidence === undefined ? '\u2013' : `${percentOf(confidence)} %`],
    ['Depth', fields.depth === undefined ? '\u2013' : depthText(fields.depth, units, ' ')],
    [
      'Fish',
      fields.fish_top === undefined || fields.fish_bottom === undefined
        ? '\u2013'
        : fields.fish_source === 'depth'
          ? 'at mark'
          : depthRange(fields.fish_top, fields.fish_bottom, units, ' ', '\u2013'),
    ],
    ['Boat in', first === undefined ? '\u2013' : depthText(first.boat.depth, units, ' ')],
    ['Cast', first === undefined ? '\u2013' : castText(first, fields, units)],
    ['On bottom', first === undefined ? '\u2013' : lengthText(first.contact, units, ' ')],
    ['Among fish', first === undefined ? '\u2013' : lengthText(first.worth, units, ' ')],
  ];
  const flag = hasProblem(spot)
    ? ` <span class="flag">${SIGN}<span class="unseen"> has warnings</span></span>`
    : '';
  return [
    `<tr role="row" id="row-${number}" data-rank="${ranks.join(' ')}" ${filterData(spot, units)}>`,
    `<td role="cell" data-label="No.">${number}</td>`,
    `<th role="rowheader" scope="row"><a href="#spot-${number}">${escapeText(spotName(spot))}</a>${flag}</th>`,
    ...cells.map(([label, text]) => `<td role="cell" data-label="${label}">${escapeText(text)}</td>`),
    '</tr>',
  ].join('');
}

const STATUS_WORDS: Readonly<Record<string, string>> = {
  sparse: 'few passes',
  'one-pass': 'one pass',
  edge: 'one side only',
  'no-data': 'no soundings',
};

function castText(plan: CastPlan, fields: EnrichedWaypoint['fields'], units: DisplayUnits): string {
  const isSide = plan === fields.downslope || plan === fields.upslope;
  const name = isSide ? sideName(plan, fields) : angleName(plan);
  const where = plan.kind === 'downslope' ? '' : `, ${name}`;
  const bearing = bearingWords(plan.bearing, fields.declination).replace(/ (m|t)\w+$/, (_, letter: string) =>
    letter.toUpperCase(),
  );
  return `${bearing} ${lengthText(plan.cast, units, ' ')}${where}`;
}

/** Data for the filters: the structure word, the depth step, and every minimum value that the spot reaches. */
function filterData({ fields }: EnrichedWaypoint, units: DisplayUnits): string {
  const reached = (value: number | undefined, limits: readonly number[]) =>
    value === undefined ? '' : limits.filter((limit) => value >= limit).join(' ');
  const confidence = fields.structure_confidence;
  const contact = rankCasts(fields)[0]?.worth;
  return [
    `data-structure="${fields.structure ?? 'none'}"`,
    `data-depth="${fields.depth === undefined ? '' : depthStep(fields.depth, units)}"`,
    `data-sure="${reached(confidence === undefined ? undefined : percentOf(confidence), CONFIDENCES)}"`,
    `data-contact="${reached(contact === undefined ? undefined : Number(lengthNumber(contact, units)), CONTACTS)}"`,
  ].join(' ');
}

const depthStep = (depth: number, units: DisplayUnits): number =>
  Math.floor(fromMeters(depth, units) / DEPTH_STEP[units]) * DEPTH_STEP[units];

function controls(words: readonly string[], steps: readonly number[], units: DisplayUnits): string {
  const select = (id: string, label: string, options: readonly (readonly [value: string, words: string])[]) =>
    `<label for="${id}">${label}<select id="${id}">${options.map(([value, text]) => `<option value="${value}">${text}</option>`).join('')}</select></label>`;
  const sorts = SORT_KEYS.map(([key, text]) => [key, text] as const);
  const least = (limits: readonly number[], unit: string) => [
    ['', 'any'] as const,
    ...limits.map((limit) => [String(limit), `${limit} ${unit} or more`] as const),
  ];
  return [
    '<form id="controls" class="controls" aria-label="Sort and filter the list">',
    select('sort', 'Sort by', sorts),
    select('f-structure', 'Structure', [
      ['', 'any'],
      ...words.map((word) => [word, word] as const),
      ['none', 'not told'],
    ]),
    select('f-sure', 'Sure', least(CONFIDENCES, '%')),
    select('f-depth', 'Depth', [
      ['', 'any'],
      ...steps.map((step) => [String(step), `${step}\u2013${step + DEPTH_STEP[units]} ${units}`] as const),
    ]),
    select('f-contact', 'Among fish', least(CONTACTS, lengthUnit(units))),
    '<label class="tick" for="reverse"><input type="checkbox" id="reverse"> reverse</label>',
    '<label for="find" class="needs-script">Name<input type="search" id="find"></label>',
    '<output id="count" class="needs-script" for="sort f-structure f-sure f-depth f-contact find"></output>',
    '</form>',
  ].join('');
}

/**
 * Style rules that order and hide rows according to the chosen options. The order rules are dropped once the
 * script has put the rows in order.
 */
function listStyle(
  spots: readonly EnrichedWaypoint[],
  ranks: readonly (readonly number[])[],
  words: readonly string[],
  steps: readonly number[],
): string {
  const chosen = (id: string, value: string | number) => `body:has(#${id} option[value="${value}"]:checked)`;
  const hide = (id: string, value: string | number, data: string, match: string) =>
    `${chosen(id, value)} #rows tr:not([data-${data}${match}"${value}"]){display:none}`;
  return [
    ...spots.map(
      ({ waypoint }, i) =>
        `#row-${waypoint.index + 1}{${ranks.map((rank, k) => `--o${k}:${rank[i]}`).join(';')}}`,
    ),
    ...SORT_KEYS.map(([key], k) => `html:not(.scripted) ${chosen('sort', key)} #rows tr{order:var(--o${k})}`),
    'html:not(.scripted) body:has(#reverse:checked) #rows{flex-direction:column-reverse;justify-content:flex-end}',
    ...[...words, 'none'].map((word) => hide('f-structure', word, 'structure', '=')),
    ...steps.map((step) => hide('f-depth', step, 'depth', '=')),
    ...CONFIDENCES.map((limit) => hide('f-sure', limit, 'sure', '~=')),
    ...CONTACTS.map((limit) => hide('f-contact', limit, 'contact', '~=')),
  ].join('\n');
}
