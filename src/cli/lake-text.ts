import { AREA_KINDS, type DisplayUnits, fromMeters, LINE_KINDS } from '../../shared/contract/index.ts';
import type { LakeComparison, LakeLine, LakeModel, NextPass } from '../../shared/lake/index.ts';
import { distanceText } from '../../shared/text/index.ts';
import { passRoute } from '../engine/index.ts';
import { formatRoutesGpx } from '../formats/gpx/index.ts';

/** Maximum number of forms listed. */
const NAMED = 10;
const NAMED_PASSES = 5;
const NAMED_CHANGES = 3;
/** Speed of a boat while sounding, m/s; about 5 mph, common practice, no source. */
const SOUNDING_SPEED = 2.2;

const rounded = (meters: number, units: DisplayUnits): string =>
  `${Math.round(fromMeters(meters, units))}${units}`;
const at = (place: readonly [number, number]): string => place.map((part) => part.toFixed(5)).join(', ');

export function linesGpx(lines: readonly LakeLine[], units: DisplayUnits): string {
  return formatRoutesGpx(
    lines.map((line) => ({
      name: `${line.kind} ${rounded(line.depth, units)}`,
      comment: `${rounded(line.length, units)} long, ${rounded(line.shallowest, units)} to ${rounded(line.deepest, units)}${line.isInferred ? ', drawn between passes' : ''}`,
      points: line.places.map(([lat, lon]) => ({ name: '', lat, lon })),
    })),
  );
}

/** Formats passes as routes. @param names Names of the places that `NextPass.places` refers to by index. */
export function passesGpx(
  passes: readonly NextPass[],
  units: DisplayUnits,
  names: readonly string[] = [],
): string {
  return formatRoutesGpx(
    passes.map((pass, k) => {
      const comment = `${minutes(pass.length)} min: ${settles(pass, units, names)}`;
      return passRoute(`SCAN ${k + 1}`, comment, pass.from, pass.to);
    }),
  );
}

const minutes = (length: number): number => Math.max(1, Math.round(length / SOUNDING_SPEED / 60));

/** Says what a pass would show: `N2, N5, 200ft of lip drawn between passes, a hump that is not sure`. */
function settles(
  { inferred, lines, forms, places }: NextPass,
  units: DisplayUnits,
  names: readonly string[],
): string {
  const between = `${rounded(inferred, units)} of ${lines.join(' and ')} drawn between passes`;
  return [
    ...places.map((place) => names[place]),
    ...(lines.length === 0 ? [] : [between]),
    ...forms.map((form) => `a ${form} that is not sure`),
  ].join(', ');
}

export function lakeText(
  { grid, lines, areas }: LakeModel,
  passes: readonly NextPass[],
  units: DisplayUnits,
): string {
  const known =
    grid.depth.reduce((count, depth) => count + (Number.isNaN(depth) ? 0 : 1), 0) * grid.cell ** 2;
  const forms = areas.filter(({ kind }) => kind !== 'flat').sort((a, b) => b.relief - a.relief);
  const named = forms.slice(0, NAMED).map(({ kind, top, topDepth, relief, sure }) => {
    const what = kind === 'hump' || kind === 'ridge' ? 'top in' : 'down to';
    return `${kind.padEnd(9)}${what} ${rounded(topDepth, units)}, ${rounded(relief, units)} of relief, at ${at(top)} (${Math.round(100 * sure)}% sure)`;
  });
  const counts = AREA_KINDS.map((kind) => areas.filter((each) => each.kind === kind).length);
  return [
    `${areaText(known, units)} sounded`,
    '',
    ...lineRows(lines, units),
    '',
    AREA_KINDS.map((kind, k) => `${counts[k]} ${plural(kind, counts[k])}`).join(', '),
    ...named,
    ...(forms.length > NAMED ? [`... and ${forms.length - NAMED} smaller`] : []),
    ...passRows(passes, units),
    '',
  ].join('\n');
}

function lineRows(lines: readonly LakeLine[], units: DisplayUnits): string[] {
  const long = (meters: number): string => distanceText(meters, units, 0);
  const total = (some: readonly LakeLine[]): number => some.reduce((sum, { length }) => sum + length, 0);
  return LINE_KINDS.map((kind) => {
    const ofKind = lines.filter((line) => line.kind === kind);
    const share = Math.round((100 * total(ofKind.filter(({ isInferred }) => isInferred))) / total(ofKind));
    return `${kind.padEnd(9)}${String(ofKind.length).padStart(4)}  ${long(total(ofKind)).padStart(8)}${share > 0 ? `  (${share} % of it drawn between passes)` : ''}`;
  });
}

export function passRows(
  passes: readonly NextPass[],
  units: DisplayUnits,
  names: readonly string[] = [],
): string[] {
  if (passes.length === 0) return [];
  const time = passes.reduce((sum, { length }) => sum + minutes(length), 0);
  return [
    '',
    `To scan next: ${passes.length} ${passes.length === 1 ? 'pass' : 'passes'}, about ${time} min (--passes FILE writes them)`,
    ...passes
      .slice(0, NAMED_PASSES)
      .map(
        (pass) =>
          `  ${minutes(pass.length)} min from ${at(pass.from)} to ${at(pass.to)}: ${settles(pass, units, names)}`,
      ),
  ];
}

/** Describes what the last day of sounding changed. @param day Name of the day. */
export function comparisonText(
  day: string,
  { added, changed, disagreeing }: LakeComparison,
  units: DisplayUnits,
): string {
  const rows = (changes: LakeComparison['changed']): string[] =>
    changes
      .slice(0, NAMED_CHANGES)
      .map(
        ({ deeper, at: place, area }) =>
          `  ${rounded(Math.abs(deeper), units)} ${deeper > 0 ? 'deeper' : 'shallower'} at ${at(place)}, over ${areaText(area, units)}`,
      );
  const places = (count: number): string => `${count} ${count === 1 ? 'place' : 'places'}`;
  return [
    `What ${day} added: ${areaText(added, units)} newly sounded; the bottom between older passes turned out different in ${places(changed.length)}`,
    ...rows(changed),
    ...(disagreeing.length === 0
      ? []
      : [
          `Depths of ${day} disagree with older ones in ${places(disagreeing.length)}: check water level and units`,
          ...rows(disagreeing),
        ]),
    '',
  ].join('\n');
}

const areaText = (squareMeters: number, units: DisplayUnits): string => {
  const value = units === 'ft' ? squareMeters / SQUARE_METERS_PER_ACRE : squareMeters / 10_000;
  const decimals = units === 'ft' && value >= 10 ? 0 : value < 1 ? 2 : 1;
  return `${value.toFixed(decimals)} ${units === 'ft' ? 'acres' : 'ha'}`;
};

const SQUARE_METERS_PER_ACRE = 4046.8564224;
const plural = (kind: string, count: number): string =>
  count === 1 ? kind : /ch$/.test(kind) ? `${kind}es` : `${kind}s`;
