import { type FishingSpot, type SideLetter, sideLetter } from '../../../shared/day/index.ts';
import { parseClock } from '../../../shared/text/index.ts';
import type { BoatData } from '../boat-data.ts';
import { type Entry, type FishedStop, fishedStops, logTable } from '../entries.ts';
import { type HandPlan, type LeaveTimes, leaveTimes, sideOf } from '../hand-plan.ts';
import { BoatPlanner } from '../replan.ts';
import type { Before, Kept } from './kept.ts';

/** Taps that can be taken back with the plan as it was. */
const MOST_BACK = 8;

/** The day as it was entered and the plan in the hand, each stored before it counts, and what follows from them. */
export class DayRecord {
  readonly data: BoatData;
  readonly planner: BoatPlanner;
  readonly kept: Kept;
  entries: readonly Entry[] = [];
  hand: HandPlan;
  private before: readonly Before[] = [];

  constructor(data: BoatData, kept: Kept) {
    this.data = data;
    this.planner = new BoatPlanner(data);
    this.kept = kept;
    this.hand = { plan: data.plan, coming: data.plan?.stops ?? [] };
  }

  /** Takes up what the phone kept. */
  async resume(): Promise<void> {
    this.entries = await this.kept.entries();
    const state = await this.kept.hand();
    if (state === undefined) return;
    this.hand = state.hand;
    this.before = state.before;
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
    | { readonly spot: FishingSpot; readonly side: SideLetter; readonly isFishing: boolean }
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
    const { open, hand } = this;
    const { setUp, giveUp, stays } = this.data.options;
    const usualStay = 60 * Number(stays[Math.floor(stays.length / 2)] ?? 30);
    return open === undefined ? undefined : leaveTimes(open, hand, { setUp, giveUp, usualStay });
  }

  /** s of the day of the check-in. */
  get checkIn(): number | undefined {
    return this.data.plan === undefined ? undefined : parseClock(this.data.options.checkIn);
  }

  /** The log as it is exported; what is still open is counted to where the plan counts it. */
  logTable() {
    return logTable(this.stops, Math.max(this.clock.time, this.hand.from ?? 0));
  }

  /** Casts to try besides the first one, in order: next angles, then the other side. */
  anglesOf({ name, sides }: FishingSpot, side: SideLetter): (string | SideLetter)[] {
    const mark = this.data.waypoints.find(({ waypoint }) => waypoint.name === name);
    const words = (mark?.fields.next_angles ?? '').split(/;\s*/).filter((text) => text !== '');
    const others = sides.map(sideLetter).filter((letter) => letter !== side);
    return [...words, ...others];
  }

  /** Stores a tap, then what it does to the plan in the hand. @returns The tap. */
  protected async add(
    what: Omit<Entry, 'id'>,
    change: (hand: HandPlan, time: number) => HandPlan,
  ): Promise<Entry> {
    const entry: Entry = { id: this.newId(), ...what };
    await this.kept.keepEntry(entry);
    this.entries = [...this.entries, entry];
    this.before = [...this.before, { id: entry.id, hand: this.hand }].slice(-MOST_BACK);
    await this.setHand(change(this.hand, entry.time));
    return entry;
  }

  /** Stores an entry in the place of that with its number, or as a new one. @returns Its number. */
  protected async put(entry: Omit<Entry, 'id'> & { readonly id?: number }): Promise<number> {
    const whole = { ...entry, id: entry.id ?? this.newId() };
    await this.kept.keepEntry(whole);
    this.entries = [...this.entries.filter(({ id }) => id !== whole.id), whole].sort((a, b) => a.id - b.id);
    return whole.id;
  }

  protected async forget(id: number): Promise<void> {
    await this.kept.forgetEntry(id);
    this.entries = this.entries.filter((entry) => entry.id !== id);
  }

  /** Takes the last tap back. @returns False where what it did to the plan in the hand is no longer known. */
  protected async takeBack(): Promise<boolean> {
    const last = this.entries.at(-1);
    if (last === undefined) return true;
    await this.forget(last.id);
    const before = this.before.find(({ id }) => id === last.id);
    if (before === undefined) return false;
    this.before = this.before.filter(({ id }) => id !== last.id);
    await this.setHand(before.hand);
    return true;
  }

  async setHand(hand: HandPlan): Promise<void> {
    this.hand = hand;
    await this.kept.keepHand({ hand, before: this.before });
  }

  private newId(): number {
    return Math.max(Date.now(), (this.entries.at(-1)?.id ?? 0) + 1);
  }
}
