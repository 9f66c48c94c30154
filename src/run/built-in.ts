import { bottom } from '../../plugins/bottom.ts';
import { cast } from '../../plugins/cast.ts';
import { dayPlan } from '../../plugins/day-plan.ts';
import { despike } from '../../plugins/despike.ts';
import { draftOffset } from '../../plugins/draft-offset.ts';
import { duplicates } from '../../plugins/duplicates.ts';
import { earlierCasts } from '../../plugins/earlier-casts.ts';
import { fishBand } from '../../plugins/fish-band.ts';
import { lakePlace } from '../../plugins/lake-place.ts';
import { magnetic } from '../../plugins/magnetic.ts';
import { nextAngles } from '../../plugins/next-angles.ts';
import { passes } from '../../plugins/passes.ts';
import { positionJumps } from '../../plugins/position-jumps.ts';
import { reduceBlocks } from '../../plugins/reduce-blocks.ts';
import { soundSpeedPlugin } from '../../plugins/sound-speed.ts';
import { structure } from '../../plugins/structure.ts';
import { ties } from '../../plugins/ties.ts';
import { waterLevel } from '../../plugins/water-level.ts';
import { type Plugin, Refusal } from '../../shared/contract/index.ts';
import { checkPluginShape } from '../../shared/engine/index.ts';
import { nearNames, pluginMessages as says } from '../../shared/text/index.ts';
import { gzip, zip } from '../formats/archive/index.ts';
import { excel } from '../formats/excel/index.ts';
import { readGeojson } from '../formats/geojson/index.ts';
import { asciiGrid, geotiff } from '../formats/grid/index.ts';
import { layers } from '../formats/layers/index.ts';
import { nmea } from '../formats/nmea/index.ts';
import { shapefile } from '../formats/shapefile/index.ts';
import { projectedTable, xyz } from '../formats/xyz/index.ts';
import { loadPluginModule, type PluginSource } from './load-plugin.ts';

/**
 * The built-in plugins. Within a stage they run in this order, except that a waypoint plugin runs after the
 * plugins that provide its fields. Each is checked like a user's.
 *
 * This is the only place where `src/` imports from `plugins/`. All plugins are imported together, so that
 * their code is bundled into one file: Node takes longer to find many files than to read one long file.
 */
export const BUILT_IN: readonly Plugin[] = [
  gzip,
  zip,
  excel,
  geotiff,
  shapefile,
  readGeojson,
  asciiGrid,
  nmea,
  projectedTable,
  xyz,
  positionJumps,
  draftOffset,
  soundSpeedPlugin,
  despike,
  passes,
  reduceBlocks,
  duplicates,
  waterLevel,
  ties,
  bottom,
  structure,
  lakePlace,
  fishBand,
  magnetic,
  earlierCasts,
  cast,
  nextAngles,
  dayPlan,
  layers,
].map((plugin) => checkPluginShape(plugin, plugin.name));

/** Returns the built-in plugins except those named. @throws Refusal (status 2) for an unknown name. */
export function builtInWithout(names: readonly string[]): Plugin[] {
  const known = BUILT_IN.map(({ name }) => name);
  const unknown = names.find((name) => !known.includes(name));
  if (unknown !== undefined)
    throw new Refusal([says.unknown(undefined, unknown, nearNames(unknown, known))], 2);
  return BUILT_IN.filter(({ name }) => !names.includes(name));
}

/** Loads one plugin from its source. @param name Name of the plugin, since a module may export several. */
export async function loadPlugin(source: PluginSource, name: string): Promise<Plugin> {
  const plugins = 'builtIn' in source ? BUILT_IN : await loadPluginModule(source.module);
  const plugin = plugins.find((candidate) => candidate.name === name);
  if (plugin === undefined) throw new Error(`plugin "${name}" is gone from its module`);
  return plugin;
}
