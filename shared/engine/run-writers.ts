import {
  type EnrichedWaypoint,
  type FinishedRun,
  INTERNAL_FIELDS,
  Refusal,
  type Report,
  type WriterPlugin,
  type WriterPosition,
} from '../contract/index.ts';
import { pluginMessages as says } from '../text/index.ts';
import type { Pipeline, Step } from './plan-pipeline.ts';
import { guarded, valueKind } from './run-on-copies.ts';

export interface WrittenFile {
  /** Output folder of the writer, as the user gave it. */
  readonly folder: string;
  readonly name: string;
  readonly bytes: Uint8Array;
}

/** Returns the writers in use: those with an output folder. */
export const writersAsked = ({ writer }: Pipeline): readonly Step<WriterPlugin>[] =>
  writer.filter(({ options }) => folderOf(options) !== undefined);

export const folderOf = ({ out }: Readonly<Record<string, unknown>>): string | undefined =>
  typeof out === 'string' && out !== '' ? out : undefined;

/** True when a writer in use requires internal fields, so that the run must keep them. */
export const needsInternals = (pipeline: Pipeline): boolean =>
  writersAsked(pipeline).some(({ plugin }) =>
    plugin.requires.some((name) => Object.hasOwn(INTERNAL_FIELDS, name)),
  );

function demand(plugin: string, holds: boolean, found: string, expected: string): void {
  if (!holds) throw new Refusal([says['value of-stage'](undefined, plugin, found, expected)]);
}

const contextOf = (report: Report) => ({ report, progress: () => {}, isWanted: () => true });

/** Runs all writers in use. @throws Refusal when a writer fails or returns anything but files. */
export async function runWriters(
  pipeline: Pipeline,
  run: FinishedRun,
  report: Report,
): Promise<WrittenFile[]> {
  const files: WrittenFile[] = [];
  for (const { plugin, options } of writersAsked(pipeline)) {
    const folder = folderOf(options)!;
    const made = await guarded(plugin.name, () => plugin.write(run, options as never, contextOf(report)));
    demand(plugin.name, Array.isArray(made), valueKind(made), 'a list of files');
    for (const { name, content } of made) {
      checkFile(plugin.name, name, content);
      const bytes = typeof content === 'string' ? new TextEncoder().encode(content) : content;
      files.push({ folder, name, bytes });
    }
  }
  return files;
}

/**
 * Collects the positions that writers add to the enriched GPX, by waypoint, in plugin order.
 *
 * @throws Refusal when a writer fails or returns something that is not a position; then nothing is written.
 */
export async function writerPositions(
  { writer }: Pipeline,
  makeRun: () => FinishedRun,
  report: Report,
): Promise<ReadonlyMap<EnrichedWaypoint, readonly WriterPosition[]>> {
  const found = new Map<EnrichedWaypoint, WriterPosition[]>();
  const asked = writer.filter(({ plugin }) => plugin.positions !== undefined);
  if (asked.length === 0) return found;
  const run = makeRun();
  for (const { plugin, options } of asked) {
    const made = await guarded(plugin.name, () =>
      plugin.positions?.(run, options as never, contextOf(report)),
    );
    demand(plugin.name, Array.isArray(made), valueKind(made), 'a list of positions');
    for (const position of made as readonly WriterPosition[]) {
      const before = found.get(position?.of) ?? [];
      checkPosition(plugin, position, before, run);
      found.set(position.of, [...before, position]);
    }
  }
  return found;
}

function checkPosition(
  { name, suffixes = [] }: WriterPlugin,
  position: WriterPosition,
  before: readonly WriterPosition[],
  run: FinishedRun,
): void {
  const { of, suffix, lat, lon, comment, symbol = '' } = position ?? {};
  const isOne = run.waypoints.includes(of);
  demand(name, isOne, 'a position for an unknown waypoint', 'one whose "of" is a waypoint of the run');
  demand(
    name,
    suffixes.includes(suffix),
    `position suffix ${JSON.stringify(suffix)}`,
    'one of its "suffixes"',
  );
  const isFirst = before.every((other) => other.suffix !== suffix);
  demand(name, isFirst, `two positions "${suffix}" for waypoint "${of?.waypoint.name}"`, 'one');
  const isOnEarth = Math.abs(lat) <= 90 && Math.abs(lon) <= 180;
  demand(name, isOnEarth, `a position at ${lat}, ${lon}`, 'latitude and longitude in degrees');
  for (const text of [comment, symbol]) {
    const isLine = typeof text === 'string' && !/[\x00-\x1f\x7f]/.test(text);
    demand(name, isLine, `the position text ${JSON.stringify(text)}`, 'one line of text');
  }
}

/** Checks that a path stays below the folder and that the content is text or bytes. */
function checkFile(plugin: string, name: unknown, content: unknown): void {
  const isBelow =
    typeof name === 'string' &&
    name.split('/').every((part) => /^[^\\:\0]+$/.test(part) && !/^\.*$/.test(part));
  demand(plugin, isBelow, `a file named ${JSON.stringify(name)}`, 'a path inside its folder');
  const isContent = typeof content === 'string' || content instanceof Uint8Array;
  demand(plugin, isContent, `${valueKind(content)} as content of "${name}"`, 'text or bytes');
}
