import { type FishingSpot, sideLetter } from '../../../shared/day/index.ts';
import { geodesicInverse } from '../../../shared/geo/index.ts';
import { parseClock } from '../../../shared/text/index.ts';
import type { BoatData } from '../boat-data.ts';
import {
  type Entry,
  type EntryKind,
  type FishedStop,
  fishedStops,
  type HandWish,
  logTable,
} from '../entries.ts';
import { begun, type HandPlan, type LeaveTimes, latestArrival, leaveTimes, sideOf } from '../hand-plan.ts';
import { changeText } from '../plan-change.ts';
import { BoatPlanner, type Standing } from '../replan.ts';
import type { Before, Kept } from './kept.ts';
import { BoatPosition } from './position.ts';

type SideName = 'D' | 'U';

/** Taps that can be taken back with the plan as it was. */
const MOST_BACK = 8;

/** Taps after which the rest of the day is planned again. */
const PLANS: readonly EntryKind[] = ['fish', 'leave', 'wish'];

/** m from the boat position of the stop beyond which a fish may be of another spot. */
const ELSEWHERE = 80;

/** The day in the hand: entries, the plan as it now is, and what taps do to them. Every tap is stored before it counts. */
export class Session {
  readonly data: BoatData;
  readonly planner: BoatPlanner;
  readonly position = new BoatPosition();
  entries: Entry[] = [];
  hand: HandPlan;
  /** True while a plan is being made. */
  isPlanning = false;
  /** A fish just entered, whose size and spot may still be told. */
  lastFish: Entry | undefined;
  readonly kept: Kept;
  private before: readonly Before[] = [];
  private readonly show: () => void;

  private constructor(data: BoatData, kept: Kept, show: () => void) {
    this.data = data;
    this.planner = new BoatPlanner(data);
    this.kept = kept;
    this.show = show;
    this.hand = { plan: data.plan, coming: data.plan?.stops ?? [] };
  }

  /** The session as the phone kept it. */
  static async resume(data: BoatData, kept: Kept, show: () => void): Promise<Session> {
    const session = new Session(data, kept, show);
    session.entries = await kept.entries();
    const state = await kept.hand();
    if (state !== undefined) {
      session.hand = state.hand;
      session.before = state.before;
    }
    // A tap is stored before it is planned for: a battery that died in between leaves that to be done.
    const planned = session.hand.plannedTo ?? 0;
    if (session.entries.some(({ id, kind }) => id > planned && PLANS.includes(kind))) session.replan();
    return session;
  }

  /** Draws the page anew. */
  refresh(): void {
    this.show();
  }

  /** Day and s of the day on the phone's clock. */
  get clock(): { readonly date: string; readonly time: number } {
    const now = new Date();
    const two = (value: number): string => String(value).padStart(2, '0');
    const date = `${now.getFullYear()}-${two(now.getMonth() + 1)}-${two(now.getDate())}`;
    return { date, time: now.getHours() * 3600 + now.getMinutes() * 60 + now.getSeconds() };
  }

  get stops(): FishedStop[] {
    return fishedStops(this.entries, this.clock.date);
  }

  /** The stop that is being fished. */
  get open(): FishedStop | undefined {
    const last = this.stops.at(-1);
    return last?.end === undefined ? last : undefined;
  }

  /** The spot that is fished or gone to next. */
  get current():
    | { readonly spot: FishingSpot; readonly side: SideName; readonly isFishing: boolean }
    | undefined {
    const { open, hand } = this;
    const next = hand.coming[0];
    const planned = next === undefined ? undefined : { mark: next.spot.name, side: sideLetter(next.side) };
    const place = open ?? hand.target ?? planned;
    const spot = place === undefined ? undefined : this.planner.spot(place.mark);
    if (place === undefined || spot === undefined) return undefined;
    return { spot, side: sideLetter(sideOf(spot, place.side)), isFishing: open !== undefined };
  }

  get leaveTimes(): LeaveTimes | undefined {
    const { open } = this;
    return open === undefined ? undefined : leaveTimes(open, this.hand, this.stayRules);
  }

  private get stayRules() {
    const { setUp, giveUp, stays } = this.data.options;
    return { setUp, giveUp, usualStay: 60 * Number(stays[Math.floor(stays.length / 2)] ?? 30) };
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

  async start(mark: string, side: SideName): Promise<void> {
    const spot = this.planner.spot(mark);
    if (spot !== undefined) {
      const boat = sideOf(spot, side);
      this.position.choose(boat.lat, boat.lon, 'spot');
    }
    const isPlanned = this.hand.coming[0]?.spot.marks.includes(mark);
    await this.tap({ kind: 'start', mark, side }, (hand, time) => begun(hand, mark, side, time));
    if (!isPlanned) this.replan();
  }

  async fish(): Promise<void> {
    const { current } = this;
    if (current === undefined) return;
    this.lastFish = await this.tapHere('fish', current.spot.name, current.side, current.isFishing);
    this.replan();
  }

  async missed(): Promise<void> {
    const { current } = this;
    if (current !== undefined)
      await this.tapHere('missed', current.spot.name, current.side, current.isFishing);
  }

  private tapHere(kind: EntryKind, mark: string, side: SideName, isFishing: boolean): Promise<Entry> {
    return this.tap({ kind, mark, side, lure: this.planner.spot(mark)?.lure }, (hand, time) =>
      isFishing ? hand : begun(hand, mark, side, time),
    );
  }

  /** Casts to try besides the first one, in order: next angles, then the other side. */
  anglesOf({ name, sides }: FishingSpot, side: SideName): (string | SideName)[] {
    const mark = this.data.waypoints.find(({ waypoint }) => waypoint.name === name);
    const words = (mark?.fields.next_angles ?? '').split(/;\s*/).filter((text) => text !== '');
    const others = sides.map(sideLetter).filter((letter) => letter !== side);
    return [...words, ...others];
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
    this.replan();
  }

  async wish(mark: string, wish: HandWish): Promise<void> {
    await this.tap({ kind: 'wish', mark, side: 'D', wish }, (hand) => ({ ...hand, target: undefined }));
    this.replan();
  }

  /** Goes to a spot next, without a word to the planner. */
  goTo(mark: string, side: SideName): Promise<void> {
    return this.turnTo({ mark, side });
  }

  /** Goes to what the plan says, or on a page without one to what is chosen then. @param target Undefined for that. */
  async turnTo(target: HandPlan['target']): Promise<void> {
    this.hand = { ...this.hand, target };
    await this.keepHand();
    this.show();
  }

  /** Changes an entry that is there, or adds one that was forgotten. */
  async save(entry: Omit<Entry, 'id'> & { readonly id?: number }): Promise<void> {
    const whole = { ...entry, id: entry.id ?? this.newId() };
    await this.kept.keepEntry(whole);
    this.entries = [...this.entries.filter(({ id }) => id !== whole.id), whole].sort((a, b) => a.id - b.id);
    this.lastFish = this.lastFish?.id === whole.id ? undefined : this.lastFish;
    this.replan();
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

  /** Works out the runs of the lake once. */
  warmUp(): void {
    if (this.data.plan !== undefined) this.planner.replan(this.entries, this.standing());
  }

  async remove(id: number): Promise<void> {
    await this.forget(id);
    this.replan();
  }

  /** Takes the last tap back, with what it did to the plan. */
  async undo(): Promise<void> {
    const last = this.entries.at(-1);
    if (last === undefined) return;
    const before = this.before.find(({ id }) => id === last.id);
    await this.forget(last.id);
    this.lastFish = undefined;
    if (before === undefined) return this.replan();
    this.before = this.before.filter(({ id }) => id !== last.id);
    this.hand = before.hand;
    await this.keepHand();
    this.show();
  }

  private async forget(id: number): Promise<void> {
    await this.kept.forgetEntry(id);
    this.entries = this.entries.filter((entry) => entry.id !== id);
  }

  async answerChange(isTaken: boolean): Promise<void> {
    const { change, ...hand } = this.hand;
    this.hand = isTaken || change === undefined ? hand : { ...hand, ...change.before };
    await this.keepHand();
    this.show();
  }

  /** Plans again when the next stop can no longer be made in time; called by the clock. */
  checkLate(): void {
    const next = this.hand.coming[0];
    const { date, time } = this.clock;
    const isToday = date === this.hand.plan?.date;
    if (next === undefined || this.isPlanning || !isToday) return;
    const isLate = this.open === undefined && this.hand.target === undefined && time > latestArrival(next);
    const isAnswered = (this.hand.from ?? 0) > time - LATE_EVERY;
    if (isLate && !isAnswered) this.replan();
  }

  /** Plans the rest of the day after the page has shown what was tapped. */
  replan(): void {
    this.isPlanning = this.data.plan !== undefined;
    this.show();
    if (this.isPlanning) setTimeout(() => this.planNow(), 0);
  }

  private async planNow(): Promise<void> {
    const standing = this.standing();
    const plannedTo = this.entries.at(-1)?.id;
    const start = performance.now();
    const { plan, problems, command } = this.planner.replan(this.entries, standing);
    performance.measure('replan', { start });
    this.isPlanning = false;
    const { hand } = this;
    if (plan === undefined) this.hand = { ...hand, problems };
    else {
      const text = changeText(hand.coming, plan, this.data.units);
      const before = { plan: hand.plan, coming: hand.coming };
      this.hand = {
        ...hand,
        plan,
        coming: plan.stops,
        command,
        problems,
        from: standing.now,
        plannedTo,
        change: text === undefined ? hand.change : { text, before },
      };
    }
    await this.keepHand();
    this.show();
  }

  /** From when and where the rest is planned: the end of the open stop, else now; the position, else the last spot. */
  private standing(): Standing {
    const { date, time } = this.clock;
    const { open } = this;
    const now = Math.max(time, this.leaveTimes?.leave ?? 0);
    const last = open ?? this.stops.at(-1);
    const spot = last === undefined ? undefined : this.planner.spot(last.mark);
    const boat = last === undefined || spot === undefined ? undefined : sideOf(spot, last.side);
    const place = open === undefined ? this.position.exactPlace() : undefined;
    const ramp = this.data.plan?.from ?? { lat: 0, lon: 0 };
    return { date: [this.data.date, date].sort()[1], now, at: place ?? boat ?? ramp };
  }

  /** The log as it is exported; what is still open is counted to where the plan counts it. */
  logTable() {
    return logTable(this.stops, Math.max(this.clock.time, this.hand.from ?? 0));
  }

  /** s of the day of the check-in. */
  get checkIn(): number | undefined {
    return this.data.plan === undefined ? undefined : parseClock(this.data.options.checkIn);
  }

  private newId(): number {
    return Math.max(Date.now(), (this.entries.at(-1)?.id ?? 0) + 1);
  }

  private async tap(
    what: Pick<Entry, 'kind' | 'mark' | 'side' | 'lure' | 'angle' | 'wish'>,
    change: (hand: HandPlan, time: number) => HandPlan = (hand) => hand,
  ): Promise<Entry> {
    const { date, time } = this.clock;
    const place = this.position.exactPlace();
    const at = place === undefined ? {} : { lat: place.lat, lon: place.lon, exact: place.exact };
    const entry: Entry = { id: this.newId(), date, time, ...what, ...at };
    await this.kept.keepEntry(entry);
    this.entries = [...this.entries, entry];
    this.before = [...this.before, { id: entry.id, hand: this.hand }].slice(-MOST_BACK);
    this.hand = change(this.hand, time);
    await this.keepHand();
    this.show();
    return entry;
  }

  private keepHand(): Promise<void> {
    const { hand, before } = this;
    return this.kept.keepHand({ hand, before });
  }
}

/** s between two plans for being late. */
const LATE_EVERY = 300;
