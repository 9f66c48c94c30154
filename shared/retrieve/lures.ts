import { METERS_PER } from '../contract/index.ts';
import { emptyPath } from './path.ts';
import { type RetrieveSetup, simulateRetrieve, workspace } from './retrieve.ts';
import { type Line, type LureDrag, USUAL_HANDLING } from './rig.ts';
import { greatestDepth } from './touch.ts';

/** A diving lure from the user's box, or a generic one. */
export interface Lure {
  readonly name: string;
  /** Labeled depth, m. */
  readonly label: number;
  readonly drag: LureDrag;
  /** True when the user's own observations set the drag, which makes the depth more certain. */
  readonly isCalibrated: boolean;
}

const GENERIC_LABELS = [4, 6, 8, 10, 12, 14, 16, 18, 20, 22, 25];

/** Minimum labeled depth that `dragOfLabel` covers, ft. */
export const SHALLOWEST_LABEL = 2;
/** Maximum labeled depth that `dragOfLabel` covers, ft. */
export const DEEPEST_LABEL = 30;

/** Exponent p of the depth of a lure: depth grows as (drag area)^p. */
const DEPTH_POWER = 0.46;

export const genericLures = (): Lure[] =>
  GENERIC_LABELS.map((label) => ({
    name: `${label} ft diver`,
    label: label * METERS_PER.ft,
    drag: dragOfLabel(label),
    isCalibrated: false,
  }));

/**
 * Returns the standard deviation of a lure's computed depth, as a share of that depth. Judgment: observed
 * depths are more accurate than labels.
 */
export function depthShare({ isCalibrated, label }: Lure): number {
  if (isCalibrated) return 0.05;
  return label >= 24 * METERS_PER.ft ? 0.15 : 0.1;
}

/**
 * Returns the drag of a diver by the depth on its label.
 *
 * One known depth sets the scale: a 16 ft diver reaches 17 to 18 ft on a 45 m cast with 12 lb line. Drags for
 * labels of 2 to 4 ft are uncertain.
 *
 * @param label Labeled depth, ft, 2 to 30.
 */
export const dragOfLabel = (label: number): LureDrag => ({
  liftToDrag: Math.max(0.0525 * label - 0.06, 0.03),
  dragArea: (3 + 0.48 * label) * 1e-4,
});

/** Changes a drag so that the lure runs deeper by a factor; accurate for factors near 1. */
export const deeperBy = (drag: LureDrag, factor: number): LureDrag => ({
  liftToDrag: drag.liftToDrag,
  dragArea: drag.dragArea * factor ** (1 / DEPTH_POWER),
});

/** Returns the greatest depth of a retrieve over deep water, m. @param step Maximum step, m of line. */
export function freeDepth(
  setup: RetrieveSetup,
  { path, work } = { path: emptyPath(), work: workspace() },
  step = 1,
): number {
  simulateRetrieve(setup, undefined, step, path, work);
  return greatestDepth(path);
}

/** A cast on which the user felt a lure touch bottom. */
export interface Observation {
  /** Depth of the bottom where the lure touched, m. */
  readonly depth: number;
  /** Length of the cast, m. */
  readonly cast: number;
  readonly line: Line;
}

/** Minimum and maximum drag area that an observation may imply, as factors on the label's area; judgment. */
const AREA_FACTORS = [0.33, 2.8] as const;
/** Minimum and maximum lift-to-drag of a fitted lure, as factors on the label's lift-to-drag; judgment. */
const LIFT_FACTORS = [0.7, 1.4] as const;
/** Maximum error of a fitted lure in the second observed depth, as a share of that depth. */
const AGREEMENT = 0.05;

export type Calibration =
  | { readonly drag: LureDrag }
  /** The observed depth does not fit the label: such lures reach `least` to `most`, m, on that cast. */
  | { readonly impossible: Observation; readonly least: number; readonly most: number }
  /** No lure fits both observations: a lure fitted to the first reaches `reached`, m, on the second cast. */
  | { readonly contradictory: readonly [Observation, Observation]; readonly reached: number };

/**
 * Fits the drag of a lure to one or two observations. One observation sets the drag area, with lift-to-drag
 * from the label. Two observations set drag area and lift-to-drag.
 *
 * A touched depth is taken as the greatest depth of the lure, although the lure may be able to run deeper.
 * Two observations hardly separate drag area and lift-to-drag, so lift-to-drag stays within `LIFT_FACTORS`.
 *
 * @param label Labeled depth, ft.
 */
export function calibrate(label: number, observations: readonly Observation[]): Calibration {
  const room = { path: emptyPath(), work: workspace() };
  const depth = (lure: LureDrag, { cast, line }: Observation): number =>
    freeDepth({ cast, line, lure, handling: USUAL_HANDLING }, room);
  const generic = dragOfLabel(label);
  for (const seen of observations) {
    const [least, most] = AREA_FACTORS.map((factor) =>
      depth({ ...generic, dragArea: generic.dragArea * factor }, seen),
    );
    if (!(seen.depth >= least && seen.depth <= most)) return { impossible: seen, least, most };
  }
  const [first, second] = observations;
  const withArea = (liftToDrag: number): LureDrag =>
    matchArea({ liftToDrag, dragArea: generic.dragArea }, first, depth);
  if (second === undefined) return { drag: withArea(generic.liftToDrag) };
  const miss = (factor: number): number =>
    depth(withArea(generic.liftToDrag * factor), second) - second.depth;
  let [low, high]: [number, number] = [...LIFT_FACTORS];
  const rises = miss(high) > miss(low);
  for (let i = 0; i < 20; i++) {
    const middle = (low + high) / 2;
    if (miss(middle) > 0 === rises) high = middle;
    else low = middle;
  }
  const drag = withArea((generic.liftToDrag * (low + high)) / 2);
  const reached = depth(drag, second);
  if (Math.abs(reached - second.depth) > AGREEMENT * second.depth)
    return { contradictory: [first, second], reached };
  return { drag };
}

function matchArea(
  start: LureDrag,
  seen: Observation,
  depth: (drag: LureDrag, seen: Observation) => number,
): LureDrag {
  let drag = start;
  for (let i = 0; i < 12; i++) {
    const factor = seen.depth / depth(drag, seen);
    drag = deeperBy(drag, factor);
    if (Math.abs(factor - 1) < 1e-4) break;
  }
  return drag;
}
