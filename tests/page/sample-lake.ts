import type { BottomModel, DepthGrid, StructureWord } from '../../shared/contract/bottom-model.ts';
import type { CastKind, CastPlan, Spot } from '../../shared/contract/cast-plan.ts';
import type { FieldValues } from '../../shared/contract/fields.ts';
import type { EnrichedWaypoint } from '../../shared/contract/plugin.ts';
import { wrapBearing } from '../../shared/geo/geodesic.ts';
import { localFrame } from '../../shared/geo/local-frame.ts';
import type { ReportInput } from '../../src/page/report-input.ts';

/** Returns the depth of an invented lake with ridges, noses and saddles, 1 to 10 m deep; all lengths in m. */
export function sampleBottom(east: number, north: number): number {
  const ridges = 3.1 * Math.sin(east / 52 + 1.2 * Math.sin(north / 90));
  const noses = 1.1 * Math.cos(north / 38 + 0.5 * Math.sin(east / 70));
  return Math.max(0.6, 5.4 + ridges + noses);
}

const LAKE = localFrame(41.2, -104.9);
const FT = 0.3048;
const DECLINATION = 7.4;

/** Makes a report on spots on a loose grid over the sample lake. The same arguments give the same report. */
export function sampleReport(count: number, change: Partial<ReportInput> = {}): ReportInput {
  const places = samplePlaces(count);
  const survey = sampleSurvey(places);
  const waypoints = places.map((place, index) => sampleSpot(place, index));
  return {
    title: 'Sample lake',
    date: '2027-07-10',
    units: 'ft',
    waypoints,
    survey,
    waterLevel: -0.6,
    waterLevelSource: 'option',
    ...change,
  };
}

interface Place {
  readonly east: number;
  readonly north: number;
  readonly spacing: number;
  readonly status: BottomModel['status'];
}

function samplePlaces(count: number): Place[] {
  const across = Math.ceil(Math.sqrt(count));
  return Array.from({ length: count }, (_, i) => ({
    east: (i % across) * 230 + ((i * 53) % 90) - 20,
    north: -Math.floor(i / across) * 210 - ((i * 37) % 80),
    spacing: 18 + ((i * 7) % 30),
    status: i % 11 === 6 ? 'one-pass' : i % 13 === 9 ? 'no-data' : i % 17 === 7 ? 'sparse' : 'ok',
  }));
}

/** Returns how far east of a place its passes run, m: one pass for `one-pass`, none for `no-data`. */
function passesOf(place: Place): number[] {
  if (place.status === 'no-data') return [];
  if (place.status === 'one-pass') return [4];
  const half = place.status === 'sparse' ? 60 : 85;
  const offsets: number[] = [];
  for (let offset = -half; offset <= half; offset += place.spacing) offsets.push(offset);
  return offsets;
}

/** Tangent of the bearing of all passes. */
const LEAN = 0.25;

function sampleSurvey(places: readonly Place[]): ReportInput['survey'] {
  const lat: number[] = [];
  const lon: number[] = [];
  const depth: number[] = [];
  const pass: number[] = [];
  let number = 0;
  for (const place of places) {
    for (const offset of passesOf(place)) {
      number += 1;
      for (let along = -95; along <= 95; along += 3) {
        const east = place.east + offset + LEAN * along + 2 * Math.sin(along / 25 + offset);
        const north = place.north + along;
        const [placeLat, placeLon] = LAKE.toGeographic(east, north);
        lat.push(placeLat);
        lon.push(placeLon);
        depth.push(sampleBottom(east, north));
        pass.push(number);
      }
    }
  }
  return {
    count: lat.length,
    lat: Float64Array.from(lat),
    lon: Float64Array.from(lon),
    depth: Float32Array.from(depth),
    pass: Int32Array.from(pass),
  };
}

const WORDS: readonly StructureWord[] = [
  'point',
  'hump',
  'ledge',
  'channel-edge',
  'slope',
  'inside-turn',
  'ridge',
];

/** Makes a spot with everything a full run would find there; `change` replaces fields. */
export function sampleSpot(place: Place, index: number, change: Partial<FieldValues> = {}): EnrichedWaypoint {
  const [lat, lon] = LAKE.toGeographic(place.east, place.north);
  const waypoint = {
    index,
    file: 'marks.gpx',
    fileIndex: index,
    line: 4 + index * 3,
    lat,
    lon,
    name: `Mark ${String(index + 1).padStart(3, '0')}`,
    comment: '12-18 ft',
    description: '',
    symbol: '',
    type: '',
  };
  const fields = { ...sampleFields(place, index, lat, lon), ...change };
  const diagnostics =
    place.status === 'ok'
      ? []
      : [
          {
            severity: 'warning' as const,
            code: 'slope/support',
            message:
              'Found soundings on 1 pass within 40 m, need 2 on both sides; slope left out. Run another pass.',
            place: { waypoint: waypoint.name },
          },
        ];
  return { waypoint, fields, diagnostics };
}

function sampleFields(place: Place, index: number, lat: number, lon: number): Partial<FieldValues> {
  const { status } = place;
  if (status === 'no-data') return { status, soundings: 0 };
  const depth = sampleBottom(place.east, place.north);
  const bottom = sampleModel(place, lat, lon);
  const fish = {
    fish_top: depth - 1,
    fish_bottom: depth + 1.2,
    fish_source: 'note' as const,
  };
  const known = {
    status,
    soundings: bottom.soundings,
    pass_spacing: place.spacing,
    depth,
    depth_sd: bottom.depthSd,
    ...fish,
  };
  if (status === 'one-pass') return { ...known, bottom, declination: DECLINATION };
  const gradient = bottom.gradient as readonly [number, number];
  const steep = Math.hypot(...gradient);
  const aspect = wrapBearing((Math.atan2(gradient[0], gradient[1]) * 180) / Math.PI);
  const downslope = sampleCast(place, bottom, aspect, 'downslope', fish.fish_bottom + 0.9, fish);
  const upslope = sampleCast(place, bottom, aspect, 'upslope', fish.fish_top - 0.9, fish);
  const angles = [25, -25].map((turn) =>
    sampleCast(place, bottom, aspect + turn, 'quartering', fish.fish_bottom + 0.9, fish),
  );
  return {
    ...known,
    slope: (Math.atan(steep) * 180) / Math.PI,
    slope_sd: 1.1,
    aspect,
    aspect_sd: 14,
    ...(status === 'sparse'
      ? {}
      : {
          structure: WORDS[index % WORDS.length],
          structure_confidence: 0.45 + ((index * 17) % 50) / 100,
          structure_runner_up: WORDS[(index + 2) % WORDS.length],
          structure_size: 30 + ((index * 13) % 60),
        }),
    declination: DECLINATION,
    lure: downslope.lure,
    lure_depth: downslope.lureDepth,
    ...sideFields('downslope', downslope),
    ...sideFields('upslope', upslope),
    bottom,
    downslope,
    upslope,
    angles,
  };
}

function sideFields(side: 'downslope' | 'upslope', plan: CastPlan): Partial<FieldValues> {
  return {
    [`${side}_lat`]: plan.boat.lat,
    [`${side}_lon`]: plan.boat.lon,
    [`${side}_depth`]: plan.boat.depth,
    [`${side}_cast_true`]: plan.bearing,
    [`${side}_cast_mag`]: wrapBearing(plan.bearing - DECLINATION),
    [`${side}_cast`]: plan.cast,
    [`${side}_landing_lat`]: plan.landing.lat,
    [`${side}_landing_lon`]: plan.landing.lon,
    [`${side}_landing_depth`]: plan.landing.depth,
    [`${side}_contact`]: plan.contact,
    [`${side}_fish_contact`]: plan.fishContact,
  } as Partial<FieldValues>;
}

const GRID_SIZE = 35;
const CELL_SIZE = 6;

/** Makes a bottom model of the true depths, with a standard deviation that grows away from the passes. */
function sampleModel(place: Place, lat: number, lon: number): BottomModel {
  const half = (GRID_SIZE - 1) / 2;
  const offsets = passesOf(place);
  const depth = new Float64Array(GRID_SIZE ** 2);
  const sd = new Float64Array(GRID_SIZE ** 2);
  const supported = new Uint8Array(GRID_SIZE ** 2);
  for (let k = 0; k < depth.length; k += 1) {
    const east = ((k % GRID_SIZE) - half) * CELL_SIZE;
    const north = (Math.floor(k / GRID_SIZE) - half) * CELL_SIZE;
    const away = Math.min(...offsets.map((offset) => Math.abs(east - offset - LEAN * north)));
    depth[k] = sampleBottom(place.east + east, place.north + north);
    sd[k] = 0.08 + 0.5 * (1 - Math.exp(-((away / 30) ** 2)));
    supported[k] = away <= Math.max(14, place.spacing * 0.75) && Math.abs(north) <= 98 ? 1 : 0;
  }
  const grid: DepthGrid = {
    size: GRID_SIZE,
    cellSize: CELL_SIZE,
    depth,
    sd,
    supported,
    range: place.spacing / 2,
  };
  const at = (east: number, north: number) => sampleBottom(place.east + east, place.north + north);
  return {
    status: place.status,
    lat,
    lon,
    passSpacing: place.spacing,
    soundings: offsets.length * 64,
    depth: at(0, 0),
    depthSd: 0.25,
    ...(place.status === 'one-pass' ? {} : { gradient: gradientAt(at) }),
    grid,
    support: new Float64Array(16).fill(1),
  };
}

/** Returns the gradient at the mark, from differences over 6 m. */
function gradientAt(at: (east: number, north: number) => number): readonly [number, number] {
  const step = 3;
  return [(at(step, 0) - at(-step, 0)) / (2 * step), (at(0, step) - at(0, -step)) / (2 * step)];
}

/** Makes a cast over the mark along `aspect`, from where it is `boatDepth` deep, but from 14 to 38 m away. */
function sampleCast(
  place: Place,
  bottom: BottomModel,
  aspect: number,
  kind: CastKind,
  boatDepth: number,
  fish: { readonly fish_top: number; readonly fish_bottom: number },
): CastPlan {
  const frame = localFrame(bottom.lat, bottom.lon);
  const side = kind === 'upslope' ? -1 : 1;
  const toBoat = (aspect * Math.PI) / 180 + (side < 0 ? Math.PI : 0);
  const depthAt = (east: number, north: number) => sampleBottom(place.east + east, place.north + north);
  let off = 14;
  while (off < 38 && side * (depthAt(off * Math.sin(toBoat), off * Math.cos(toBoat)) - boatDepth) < 0)
    off += 0.5;
  const cast = 44;
  const spot = (distance: number): Spot => {
    const east = (off - distance) * Math.sin(toBoat);
    const north = (off - distance) * Math.cos(toBoat);
    const [lat, lon] = frame.toGeographic(east, north);
    return { lat, lon, east, north, depth: depthAt(east, north), depthSd: 0.3 };
  };
  const distance = Float64Array.from({ length: 89 }, (_, i) => i * 0.5);
  const line = distance.map((d) => spot(d).depth);
  const lureDepth = 17.5 * FT;
  const free = distance.map(
    (d) => lureDepth * Math.min(1, 1.25 * (1 - ((cast - d) / cast - 0.62) ** 2 / 0.385)),
  );
  const lure = free.map((depth, i) => Math.max(0, Math.min(depth, line[i])));
  const touching = Array.from(distance.keys()).filter((i) => line[i] - lure[i] < 1e-9);
  const inBand = touching.filter((i) => line[i] >= fish.fish_top && line[i] <= fish.fish_bottom);
  const depths = touching.map((i) => line[i]);
  return {
    kind,
    boat: spot(0),
    landing: spot(cast),
    bearing: wrapBearing((toBoat * 180) / Math.PI + 180),
    cast,
    lure: '16 ft diver',
    lureDepth,
    contact: touching.length * 0.5,
    fishContact: inBand.length * 0.5,
    fishContactSd: 1,
    worth: Math.max(1, inBand.length * 0.5),
    ...(depths.length === 0 ? {} : { contactDepths: [Math.min(...depths), Math.max(...depths)] as const }),
    profile: {
      distance,
      bottom: line,
      bottomSd: distance.map((d) => 0.15 + 0.15 * Math.abs(Math.sin(d / 8))),
      lure,
    },
  };
}
