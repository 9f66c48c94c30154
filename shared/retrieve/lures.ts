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
  /** True when the user's own observations set its drag, so that its depth is known better. */
  readonly isCalibrated: boolean;
}

/** Labeled depths of the generic divers, ft. */
const GENERIC_LABELS = [4, 6, 8, 10, 12, 14, 16, 18, 20, 22, 25];

/** Least labeled depth that the drag law covers, ft. */
export const SHALLOWEST_LABEL = 2;
/** Greatest labeled depth that the drag law covers, ft. */
export const DEEPEST_LABEL = 30;

/** The depth of a retrieve grows with the drag area to this power. */
const DEPTH_POWER = 0.46;

/** The generic divers, shallowest first. */
export const genericLures = (): Lure[] =>
  GENERIC_LABELS.map((label) => ({
    name: `${label} ft diver`,
    label: label * METERS_PER.ft,
    drag: dragOfLabel(label),
    isCalibrated: false,
  }));

/**
 * Standard deviation of a lure's computed depth, as a share of that depth: the accuracy of labels, or less for a lure
 * with an observed depth. Judgment.
 */
export function depthShare({ isCalibrated, label }: Lure): number {
  if (isCalibrated) return 0.05;
  return label >= 24 * METERS_PER.ft ? 0.15 : 0.1;
}

/**
 * Drag of a diver by its labeled depth, ft, 2 to 30.
 *
 * For a label of n ft, the drag area is 3.0 + 0.48 n cm2 and the lift-to-drag ratio 0.0525 n - 0.06; one value (a 16 ft
 * diver reaches 17.5 ft on 45 m of 12 lb line) fixes the scale. Confidence is low for labels of 2 to 4 ft.
 */
export const dragOfLabel = (label: number): LureDrag => ({
  liftToDrag: Math.max(0.0525 * label - 0.06, 0.03),
  dragArea: (3 + 0.48 * label) * 1e-4,
});

/** Drag with which a lure runs deeper by a factor near 1, or shallower where the factor is below 1. */
export const deeperBy = (drag: LureDrag, factor: number): LureDrag => ({
  liftToDrag: drag.liftToDrag,
  dragArea: drag.dragArea * factor ** (1 / DEPTH_POWER),
});

/** Greatest depth of a retrieve over deep water, m. @param step Longest step, m of line. */
export function freeDepth(
  setup: RetrieveSetup,
  { path, work } = { path: emptyPath(), work: workspace() },
  step = 1,
): number {
  simulateRetrieve(setup, undefined, step, path, work);
  return greatestDepth(path);
}

/** "Touched bottom at this depth on that cast": what the user saw a lure do. */
export interface Observation {
  /** m. */
  readonly depth: number;
  /** m. */
  readonly cast: number;
  readonly line: Line;
}

/** Factors on the label's drag area beyond which an observation counts as a mistake. */
const AREA_FACTORS = [0.33, 2.8] as const;
/** Factors on the label's lift-to-drag between which two observations may set it. */
const LIFT_FACTORS = [0.7, 1.4] as const;
/** One lure must meet both observations to within this share of the depth. */
const AGREEMENT = 0.05;

export type Calibration =
  | { readonly drag: LureDrag }
  /** No lure of this label does what was observed: it would reach from `least` to `most`, m, on that cast. */
  | { readonly impossible: Observation; readonly least: number; readonly most: number }
  /** No single lure fits both: one that fits the first observation reaches `reached`, m, on the second cast. */
  | { readonly contradictory: readonly [Observation, Observation]; readonly reached: number };

/**
 * Drag of a lure from what the user observed. One observation sets the drag area, with lift-to-drag from the
 * label; two set both numbers.
 *
 * A touched depth is a lower bound on what the lure reaches; here it is taken as the depth reached. Two
 * observations at different casts hardly separate the two numbers, so lift-to-drag stays within 0.7 to 1.4
 * times the label's.
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

/** Drag area with which a lure reaches an observed depth; depth follows a power of the area, so a few steps are enough. */
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
