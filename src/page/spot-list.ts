import { range, sort } from 'd3-array';
import { uniq } from 'es-toolkit';
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
import { bearingSigned, given, spotName } from './figure-words.ts';
import { hasProblem, SIGN } from './lake-marks.ts';
import { escapeText } from './svg.ts';

type Rank = (spot: EnrichedWaypoint) => number | string;

/** Sort keys of the list, with the words shown to the user and the rank of a spot: lower ranks come first. */
const SORT_KEYS: readonly (readonly [key: string, words: string, rank: Rank])[] = [
  ['number', 'number', ({ waypoint }) => waypoint.index],
  ['name', 'name', (spot) => spotName(spot).toLowerCase()],
  ['structure', 'structure', ({ fields }) => fields.structure ?? '\uffff'],
  ['confidence', 'confidence', ({ fields }) => -(fields.structure_confidence ?? -1)],
  ['depth', 'depth', ({ fields }) => fields.depth ?? Number.POSITIVE_INFINITY],
  ['contact', 'length among the fish', ({ fields }) => -(rankCasts(fields)[0]?.worth ?? -1)],
];

type Option = readonly [value: string, words: string];

/** @param meets Returns the options that a spot meets, separated by spaces. */
const filter = (
  id: string,
  label: string,
  options: readonly Option[],
  meets: (spot: EnrichedWaypoint) => string,
) => ({ id, label, options, meets });

type Filter = ReturnType<typeof filter>;

const DEPTH_STEP = { ft: 10, m: 3 } as const;

function filtersOf(spots: readonly EnrichedWaypoint[], units: DisplayUnits): Filter[] {
  const words = uniq(spots.flatMap(({ fields }) => fields.structure ?? [])).sort();
  const step = DEPTH_STEP[units];
  const stepOf = ({ fields }: EnrichedWaypoint): number =>
    Math.floor(fromMeters(fields.depth ?? Number.NaN, units) / step) * step;
  const steps = sort(uniq(spots.map(stepOf).filter((from) => !Number.isNaN(from))));
  /** Returns options such as `10 yd or more`, and the function that lists the options a spot meets. */
  const least = (limits: readonly number[], unit: string, value: (spot: EnrichedWaypoint) => number) =>
    [
      limits.map((limit): Option => [String(limit), `${limit} ${unit} or more`]),
      (spot: EnrichedWaypoint) => limits.filter((limit) => value(spot) >= limit).join(' '),
    ] as const;
  const sure = least([50, 70, 85], '%', ({ fields }) => percentOf(fields.structure_confidence ?? Number.NaN));
  const contact = least([5, 10, 20], lengthUnit(units), ({ fields }) =>
    Number(lengthNumber(rankCasts(fields)[0]?.worth ?? Number.NaN, units)),
  );
  const structures = words.map((word): Option => [word, word]);
  const depths = steps.map((from): Option => [String(from), `${from}\u2013${from + step} ${units}`]);
  return [
    filter(
      'structure',
      'Structure',
      [...structures, ['none', 'not known']],
      ({ fields }) => fields.structure ?? 'none',
    ),
    filter('sure', 'Sure', ...sure),
    filter('depth', 'Depth', depths, (spot) => (spot.fields.depth === undefined ? '' : String(stepOf(spot)))),
    filter('contact', 'Among fish', ...contact),
  ];
}

/**
 * Writes the list of all spots, with controls that sort and filter it. Style rules that depend on the chosen
 * options filter the rows and, without a script, sort them. The page's script sorts the rows in the document,
 * for the keyboard and for screen readers, counts them, and searches names.
 */
export function spotList(
  spots: readonly EnrichedWaypoint[],
  units: DisplayUnits,
): { readonly markup: string; readonly style: string } {
  const ranks = SORT_KEYS.map(([, , rank]) => ranksOf(spots, rank));
  const filters = filtersOf(spots, units);
  const rows = spots.map((spot, i) => {
    const data = [
      `data-rank="${ranks.map((rank) => rank[i]).join(' ')}"`,
      ...filters.map(({ id, meets }) => `data-${id}="${meets(spot)}"`),
    ];
    return row(spot, data.join(' '), units);
  });
  const markup = [
    controls(filters),
    '<div class="scroller"><table id="list" role="table" aria-describedby="list-note">',
    '<thead role="rowgroup"><tr role="row">',
    HEADS.map(
      ([head, key]) =>
        `<th role="columnheader" scope="col"${key === undefined ? '' : ` data-key="${key}"`}>${head}</th>`,
    ).join(''),
    '</tr></thead>',
    `<tbody id="rows" role="rowgroup">${rows.join('')}</tbody></table></div>`,
    `<p id="list-note" class="soft">Sure: how sure the structure is. Boat in, Cast and On bottom are those of the first choice. Among fish is how far the lure runs among the fish, on bottom or off it. Bearings are magnetic (M), or true (T) where the declination is not known.</p>`,
  ].join('');
  return { markup, style: listStyle(spots, ranks, filters) };
}

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

/** Returns the position of each spot in one sort order, from 0; equal spots keep their input order. */
function ranksOf(spots: readonly EnrichedWaypoint[], rank: Rank): number[] {
  const values = spots.map(rank);
  const ranks: number[] = [];
  for (const [place, spot] of sort(range(spots.length), (i) => values[i] as number).entries())
    ranks[spot] = place;
  return ranks;
}

const orDash = <T>(value: T | undefined, text: (value: T) => string): string =>
  given(value, text) || '\u2013';

/** @param data Attributes for sorting and filtering. */
function row(spot: EnrichedWaypoint, data: string, units: DisplayUnits): string {
  const { fields, waypoint } = spot;
  const number = waypoint.index + 1;
  const [first] = rankCasts(fields);
  const bottom = fields.fish_top === undefined ? undefined : fields.fish_bottom;
  const cells: [label: string, text: string][] = [
    [
      'Structure',
      `${fields.structure ?? orDash(STATUS_WORDS[fields.status ?? 'no-data'], String)}${isProposed(waypoint) ? ', not fished' : ''}`,
    ],
    ['Sure', orDash(fields.structure_confidence, (confidence) => `${percentOf(confidence)} %`)],
    ['Depth', orDash(fields.depth, (depth) => depthText(depth, units, ' '))],
    [
      'Fish',
      orDash(bottom, (deep) =>
        fields.fish_source === 'depth' ? 'at mark' : depthRange(fields.fish_top!, deep, units, ' ', '\u2013'),
      ),
    ],
    ['Boat in', orDash(first, ({ boat }) => depthText(boat.depth, units, ' '))],
    ['Cast', orDash(first, (plan) => castText(plan, fields, units))],
    ['On bottom', orDash(first, ({ contact }) => lengthText(contact, units, ' '))],
    ['Among fish', orDash(first, ({ worth }) => lengthText(worth, units, ' '))],
  ];
  const flag = hasProblem(spot)
    ? ` <span class="flag">${SIGN}<span class="unseen"> has warnings</span></span>`
    : '';
  return [
    `<tr role="row" id="row-${number}" ${data}>`,
    `<td role="cell" data-label="No.">${number}</td>`,
    `<th role="rowheader" scope="row"><a href="#spot-${number}">${escapeText(spotName(spot))}</a>${flag}</th>`,
    ...cells.map(([label, text]) => `<td role="cell" data-label="${label}">${escapeText(text)}</td>`),
    '</tr>',
  ].join('');
}

const STATUS_WORDS: Readonly<Record<string, string>> = {
  sparse: 'few passes',
  'one-pass': 'one line',
  edge: 'one side only',
  'no-data': 'no sonar',
};

function castText(plan: CastPlan, fields: EnrichedWaypoint['fields'], units: DisplayUnits): string {
  const isSide = plan === fields.downslope || plan === fields.upslope;
  const name = isSide ? sideName(plan, fields) : angleName(plan);
  const where = plan.kind === 'downslope' ? '' : `, ${name}`;
  return `${bearingSigned(plan.bearing, fields.declination)} ${lengthText(plan.cast, units, ' ')}${where}`;
}

function controls(filters: readonly Filter[]): string {
  const select = (id: string, label: string, options: readonly Option[]) =>
    `<label for="${id}">${label}<select id="${id}">${options.map(([value, text]) => `<option value="${value}">${text}</option>`).join('')}</select></label>`;
  const sorts = SORT_KEYS.map(([key, text]): Option => [key, text]);
  return [
    '<form id="controls" class="controls" aria-label="Sort and filter the list">',
    select('sort', 'Sort by', sorts),
    ...filters.map(({ id, label, options }) => select(`f-${id}`, label, [['', 'any'], ...options])),
    '<label class="tick" for="reverse"><input type="checkbox" id="reverse"> reverse</label>',
    '<label for="find" class="needs-script">Name<input type="search" id="find"></label>',
    '<output id="count" class="needs-script" for="sort f-structure f-sure f-depth f-contact find"></output>',
    '</form>',
  ].join('');
}

/**
 * Writes the style rules that order and hide rows by the chosen options. The order rules do not apply when
 * the script runs, because the script sorts the rows.
 */
function listStyle(
  spots: readonly EnrichedWaypoint[],
  ranks: readonly (readonly number[])[],
  filters: readonly Filter[],
): string {
  const chosen = (id: string, value: string) => `body:has(#${id} option[value="${value}"]:checked)`;
  return [
    ...spots.map(
      ({ waypoint }, i) =>
        `#row-${waypoint.index + 1}{${ranks.map((rank, k) => `--o${k}:${rank[i]}`).join(';')}}`,
    ),
    ...SORT_KEYS.map(([key], k) => `html:not(.scripted) ${chosen('sort', key)} #rows tr{order:var(--o${k})}`),
    'html:not(.scripted) body:has(#reverse:checked) #rows{flex-direction:column-reverse;justify-content:flex-end}',
    ...filters.flatMap(({ id, options }) =>
      options.map(
        ([value]) => `${chosen(`f-${id}`, value)} #rows tr:not([data-${id}~="${value}"]){display:none}`,
      ),
    ),
  ].join('\n');
}
