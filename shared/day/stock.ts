export type RestModel = typeof REST_MODEL;

/** Model of how stops deplete a spot and how the spot recovers; judgment, see tests/accuracy/NOTES.md. */
export const REST_MODEL = {
  /** Time between arrival and the first cast, s. */
  setUp: 180,
  /** Fishing time in which the share 1 - 1/e of a side's stock is taken, s. */
  theta: 900,
  /** Time in which the share taken shrinks to 1/e, s: 80 % of what was taken is back after two hours. */
  rho: 4500,
  /** Loss of a side through a stop at the other side, as a share of the other side's loss, 0 to 1. */
  kappa: 0.5,
  /** Minimum time between leaving a side and fishing this side again, s. */
  gap: 7200,
};

/** Stock taken by the stops of a day. Arrays with two values per spot hold the downslope side first. */
export interface TakenStock {
  /** Two per spot: share of the rested stock taken from the side and still missing at `since`, 0 to 1. */
  readonly share: Float64Array;
  /** One per spot: end of the last stop there, s of the day; 0 when not fished today. */
  readonly since: Float64Array;
  /** Two per spot: last departure from the side, s of the day; -Infinity when not fished today. */
  readonly left: Float64Array;
  /** One per spot: number of stops. */
  readonly visits: Uint8Array;
}

/** Tracks the stock that stops take from each side of each spot, and the recovery. */
export class Stock implements TakenStock {
  readonly share: Float64Array;
  readonly since: Float64Array;
  readonly left: Float64Array;
  readonly visits: Uint8Array;
  private readonly rest: Pick<RestModel, 'rho' | 'kappa'>;
  private readonly decay: (x: number) => number;

  /** @param count Number of spots. @param decay Returns e^-x. */
  constructor(count: number, rest: Pick<RestModel, 'rho' | 'kappa'>, decay: (x: number) => number) {
    this.rest = rest;
    this.decay = decay;
    this.share = new Float64Array(2 * count);
    this.since = new Float64Array(count);
    this.left = new Float64Array(2 * count).fill(-Infinity);
    this.visits = new Uint8Array(count);
  }

  set({ share, since, left, visits }: TakenStock): void {
    this.share.set(share);
    this.since.set(since);
    this.left.set(left);
    this.visits.set(visits);
  }

  /** Returns the stock of a side, 0 to 1; 1 is rested. @param time s of the day. */
  at(sideIndex: number, time: number): number {
    const spot = sideIndex >> 1;
    if (this.visits[spot] === 0) return 1;
    const gone = this.share[sideIndex] + this.rest.kappa * this.share[sideIndex ^ 1];
    return Math.max(0, 1 - this.keptAt(spot, time) * gone);
  }

  /** Records a stop from `begin` to `depart`, s of the day. @param taken Share of the rested stock. */
  take(sideIndex: number, begin: number, depart: number, taken: number): void {
    const spot = sideIndex >> 1;
    const kept = this.visits[spot] === 0 ? 0 : this.keptAt(spot, begin);
    this.share[sideIndex] = kept * this.share[sideIndex] + taken;
    this.share[sideIndex ^ 1] *= kept;
    this.left[sideIndex] = this.since[spot] = depart;
    this.visits[spot]++;
  }

  /** Returns the share of the stock taken that is still missing. @param time s of the day. */
  private keptAt(spot: number, time: number): number {
    return this.decay(Math.max(0, time - this.since[spot]) / this.rest.rho);
  }
}
