import type { FishingSpot, SideLetter } from '../../../shared/day/index.ts';
import { geodesicInverse } from '../../../shared/geo/index.ts';
import type { BoatData } from '../boat-data.ts';
import type { Entry, EntryKind, HandWish } from '../entries.ts';
import { begun, type HandPlan, sideOf } from '../hand-plan.ts';
import { DayRecord } from './day-record.ts';
import type { Kept } from './kept.ts';
import { BoatPosition } from './position.ts';
import { Replanning } from './replanning.ts';

/** m from the boat position of the stop beyond which a fish may be of another spot. */
const ELSEWHERE = 80;

/** What taps do to the day. */
export class Session extends DayRecord {
  readonly position = new BoatPosition();
  readonly replanning: Replanning;
  /** A fish just entered, whose size and spot may still be told. */
  lastFish: Entry | undefined;
  private readonly show: () => void;

  private constructor(data: BoatData, kept: Kept, show: () => void) {
    super(data, kept);
    this.show = show;
    this.replanning = new Replanning(this, this.position, show);
  }

  /** The session as the phone kept it. */
  static async open(data: BoatData, kept: Kept, show: () => void): Promise<Session> {
    const session = new Session(data, kept, show);
    await session.resume();
    // A tap is stored before it is planned for: a battery that died in between leaves that to be done.
    session.replanning.catchUp();
    return session;
  }

  /** Draws the page anew. */
  refresh(): void {
    this.show();
  }

  /** The two nearest spots where a fish may be of another than the current one; empty where that is plain. */
  nearestSpots(): FishingSpot[] {
    const place = this.position.exactPlace();
    const { current } = this;
    if (place === undefined || current === undefined) return [];
    const away = ({ lat, lon }: { lat: number; lon: number }): number =>
      geodesicInverse(place.lat, place.lon, lat, lon).distance;
    if (away(sideOf(current.spot, current.side)) <= ELSEWHERE + (place.exact ?? 0)) return [];
    const distance = (spot: FishingSpot): number => Math.min(...spot.sides.map(away));
    return this.planner.spots.toSorted((a, b) => distance(a) - distance(b)).slice(0, 2);
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

  async wish(mark: string, wish: HandWish): Promise<void> {
    await this.tap({ kind: 'wish', mark, side: 'D', wish }, (hand) => ({ ...hand, target: undefined }));
    this.replanning.request();
  }

  /** Goes to a spot next, without a word to the planner. */
  goTo(mark: string, side: SideLetter): Promise<void> {
    return this.turnTo({ mark, side });
  }

  /** Goes to what the plan says, or on a page without one to what is chosen then. @param target Undefined for that. */
  async turnTo(target: HandPlan['target']): Promise<void> {
    await this.setHand({ ...this.hand, target });
    this.show();
  }

  /** Changes an entry that is there, or adds one that was forgotten. */
  async save(entry: Omit<Entry, 'id'> & { readonly id?: number }): Promise<void> {
    const id = await this.put(entry);
    this.lastFish = this.lastFish?.id === id ? undefined : this.lastFish;
    this.replanning.request();
  }

  /** A fish was of another spot than the current one: the stop is there. */
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

  /** Takes the last tap back, with what it did to the plan. */
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
    change: (hand: HandPlan, time: number) => HandPlan = (hand) => hand,
  ): Promise<Entry> {
    const place = this.position.exactPlace();
    const at = place === undefined ? {} : { lat: place.lat, lon: place.lon, exact: place.exact };
    const entry = await this.add({ ...this.clock, ...what, ...at }, change);
    this.show();
    return entry;
  }
}
