import { sort } from 'd3-array';
import type { FishingSpot, SideLetter } from '../../../shared/day/index.ts';
import { geodesicInverse, type LocalFrame, localFrame } from '../../../shared/geo/index.ts';
import type { BoatData } from '../boat-data.ts';
import { begun, type CurrentPlan, sideOf } from '../current-plan.ts';
import type { BoatWish, Entry, EntryKind } from '../entries.ts';
import { DayRecord } from './day-record.ts';
import { Bottom, type Point } from './ground.ts';
import type { Degrees } from './position.ts';
import { Replanning } from './replanning.ts';
import type { SessionStore } from './session-store.ts';

/** Distance from the stop's boat position, m. A fish caught farther away may belong to another spot. */
const ELSEWHERE = 80;

/** Minimum distance between consecutive points of the track, m. */
const TRACK_STEP = 10;

/** The day's record, with an action for each tap. */
export class Session extends DayRecord {
  readonly replanning = new Replanning(this);
  readonly bottom: Bottom | undefined;
  /** Where the boat has been while this page was open, in order. */
  track: readonly Degrees[] = [];
  /** The fish just entered, while a notice offers to add its size or correct its spot. */
  lastFish: Entry | undefined;
  private readonly frame: LocalFrame;

  constructor(data: BoatData, kept: SessionStore, show: () => void) {
    super(data, kept, show);
    const { lat, lon } = data.waypoints[0]?.waypoint ?? { lat: 0, lon: 0 };
    this.bottom = data.depths && new Bottom(data.depths, data.units);
    this.frame = this.bottom?.lattice.frame ?? localFrame(lat, lon);
  }

  override async resume(): Promise<void> {
    await super.resume();
    this.replanning.catchUp();
  }

  /** Converts a position to meters east and south of the origin, since y points down on the map. */
  meters({ lat, lon }: Degrees): Point {
    const [east, north] = this.frame.toLocal(lat, lon);
    return [east, -north];
  }

  degrees([east, south]: Point): Degrees {
    const [lat, lon] = this.frame.toGeographic(east, -south);
    return { lat, lon };
  }

  async trackBoat(): Promise<void> {
    const place = this.position.exactPlace();
    if (place?.source !== 'phone') return;
    const { lat, lon, time } = place;
    const last = this.track.at(-1);
    if (last !== undefined && geodesicInverse(last.lat, last.lon, lat, lon).distance < TRACK_STEP) return;
    this.track = [...this.track, { lat, lon }];
    await this.kept.write('track', time, { lat, lon, time });
  }

  /** Returns the two spots nearest to the boat if the boat is away from the current spot; else none. */
  nearestSpots(): FishingSpot[] {
    const place = this.position.exactPlace();
    const { current } = this;
    if (place === undefined || current === undefined) return [];
    const away = ({ lat, lon }: Degrees): number => geodesicInverse(place.lat, place.lon, lat, lon).distance;
    if (away(sideOf(current.spot, current.side)) <= ELSEWHERE + (place.exact ?? 0)) return [];
    const distance = (spot: FishingSpot): number => Math.min(...spot.sides.map(away));
    return sort(this.planner.spots, distance).slice(0, 2);
  }

  async start(mark: string, side: SideLetter): Promise<void> {
    const spot = this.planner.spot(mark);
    if (spot !== undefined) {
      const boat = sideOf(spot, side);
      this.position.choose(boat.lat, boat.lon, 'spot');
    }
    const isPlanned = this.hand.coming[0]?.spot.marks.includes(mark);
    await this.tap({ kind: 'start', mark, side }, (hand, time) => begun(hand, mark, side, time));
    if (!isPlanned) this.replanning.request();
  }

  async fish(): Promise<void> {
    this.lastFish = await this.tapHere('fish');
    if (this.lastFish !== undefined) this.replanning.request();
  }

  async missed(): Promise<void> {
    await this.tapHere('missed');
  }

  private async tapHere(kind: EntryKind): Promise<Entry | undefined> {
    const { current } = this;
    if (current === undefined) return undefined;
    const { spot, side, isFishing } = current;
    return this.tap({ kind, mark: spot.name, side, lure: spot.lure }, (hand, time) =>
      isFishing ? hand : begun(hand, spot.name, side, time),
    );
  }

  async nextAngle(): Promise<void> {
    const { current, open } = this;
    if (current === undefined) return;
    const { spot, side } = current;
    const angles = this.anglesOf(spot, side);
    const next = angles[open?.angles.length ?? 0];
    if (next === 'D' || next === 'U') await this.tap({ kind: 'start', mark: spot.name, side: next });
    else if (next !== undefined) await this.tap({ kind: 'angle', mark: spot.name, side, angle: next });
  }

  async leave(): Promise<void> {
    const { current } = this;
    if (current === undefined) return;
    await this.tap({ kind: 'leave', mark: current.spot.name, side: current.side }, (hand) => ({
      ...hand,
      here: undefined,
      since: undefined,
    }));
    this.lastFish = undefined;
    this.replanning.request();
  }

  async wish(mark: string, wish: BoatWish): Promise<void> {
    await this.tap({ kind: 'wish', mark, side: 'D', wish }, (hand) => ({ ...hand, target: undefined }));
    this.replanning.request();
  }

  /**
   * Makes a spot the next one without adding a wish for the planner.
   *
   * @param target Undefined returns to the plan or, without a plan, to no choice.
   */
  async goTo(target: CurrentPlan['target']): Promise<void> {
    await this.setHand({ ...this.hand, target });
    this.show();
  }

  async save(entry: Omit<Entry, 'id'> & { readonly id?: number }): Promise<void> {
    const { id } = await this.put(entry);
    this.lastFish = this.lastFish?.id === id ? undefined : this.lastFish;
    this.replanning.request();
  }

  /** Moves a fish to another spot. The upcoming stop there, if any, becomes the current stop of the plan. */
  async correctFish(fish: Entry): Promise<void> {
    const since = this.hand.since ?? fish.time;
    this.hand = begun({ ...this.hand, here: undefined }, fish.mark, fish.side, since);
    await this.save(fish);
  }

  dismissFish(): void {
    this.lastFish = undefined;
    this.show();
  }

  async remove(id: number): Promise<void> {
    await this.forget(id);
    this.replanning.request();
  }

  /** Undoes the last tap and its effect on the plan. If the plan before the tap is not known, replans. */
  async undo(): Promise<void> {
    const isAsBefore = await this.takeBack();
    this.lastFish = undefined;
    if (isAsBefore) this.show();
    else this.replanning.request();
  }

  async answerChange(isTaken: boolean): Promise<void> {
    const { change, ...hand } = this.hand;
    await this.setHand(isTaken || change === undefined ? hand : { ...hand, ...change.before });
    this.show();
  }

  private async tap(
    what: Pick<Entry, 'kind' | 'mark' | 'side' | 'lure' | 'angle' | 'wish'>,
    change: (hand: CurrentPlan, time: number) => CurrentPlan = (hand) => hand,
  ): Promise<Entry> {
    const place = this.position.exactPlace();
    const at = place === undefined ? {} : { lat: place.lat, lon: place.lon, exact: place.exact };
    const entry = await this.add({ ...this.clock, ...what, ...at }, change);
    this.show();
    return entry;
  }
}
