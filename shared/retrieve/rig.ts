export interface Line {
  /** m, > 0. */
  readonly diameter: number;
  /** kg/m3. */
  readonly density: number;
}

export interface LureDrag {
  /** Downward force over drag, > 0. */
  readonly liftToDrag: number;
  /** Drag coefficient times frontal area, m2, > 0. */
  readonly dragArea: number;
}

export type Handling = typeof USUAL_HANDLING;

/**
 * A brisk retrieve with the rod tip held low.
 *
 * Speed hardly matters: on a 45 m cast, divers of 6 to 25 ft run 0.5 to 1.6 ft shallower at 2.5 m/s than at
 * 0.6 m/s. With the rod tip 1.5 m higher, the same divers run 2 to 3 ft shallower.
 */
export const USUAL_HANDLING = {
  /** Height of the rod tip above the water, m, >= 0. */
  tipHeight: 0.3,
  /** Speed at which line comes in, m/s, > 0. */
  speed: 1.5,
  /** Coefficient of friction of the lure on bottom, >= 0. */
  friction: 0.2,
};

/** kg/m3. */
export const WATER_DENSITY = 1000;

/** m/s2. */
export const GRAVITY = 9.81;
