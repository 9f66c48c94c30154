import type { EnrichedWaypoint } from '../../../shared/contract/index.ts';
import { type FishingSpot, type SideLetter, sideLetter } from '../../../shared/day/index.ts';
import { parseClock } from '../../../shared/text/index.ts';
import type { BoatData } from '../boat-data.ts';
import { type CurrentPlan, leaveTimes, sideOf } from '../current-plan.ts';
import { type Entry, type FishedStop, fishedStops, logTable } from '../entries.ts';
import { BoatPlanner } from '../replan.ts';
import { BoatPosition } from './position.ts';
import type { SessionStore } from './session-store.ts';

/** Maximum number of taps whose effect on the plan can be undone. */
const MAX_BACK = 8;

/** The current plan and, for undo, the plans before the last taps, as the phone stores them. */
interface StoredPlan {
  readonly hand: CurrentPlan;
  readonly before: readonly { readonly id: number; readonly hand: CurrentPlan }[];
}

/** The day's entries and the current plan. An entry is stored before it takes effect. */
export class DayRecord {
  readonly data: BoatData;
  readonly planner: BoatPlanner;
  readonly kept: SessionStore;
  readonly position = new BoatPosition();
  /** Redraws the page. */
  readonly show: () => void;
  entries: readonly Entry[] = [];
  hand: CurrentPlan;
  private before: StoredPlan['before'] = [];

  constructor(data: BoatData, kept: SessionStore, show: () => void) {
    this.data = data;
    this.planner = new BoatPlanner(data);
    this.kept = kept;
    this.show = show;
    this.hand = { plan: data.plan, coming: data.plan?.stops ?? [] };
  }

  async resume(): Promise<void> {
    this.entries = await this.kept.all<Entry>('entries');
    const stored = await this.kept.get<StoredPlan>('state', 'hand');
    if (stored !== undefined) ({ hand: this.hand, before: this.before } = stored);
  }

  /** Date, and time in s of the day, by the phone's clock. */
  get clock(): { readonly date: string; readonly time: number } {
    const now = new Date();
    const two = (value: number): string => String(value).padStart(2, '0');
    const date = `${now.getFullYear()}-${two(now.getMonth() + 1)}-${two(now.getDate())}`;
    return { date, time: now.getHours() * 3600 + now.getMinutes() * 60 + now.getSeconds() };
  }

  get stops(): FishedStop[] {
    return fishedStops(this.entries, this.clock.date);
  }

  /** The stop being fished, if any. */
  get open(): FishedStop | undefined {
    const last = this.stops.at(-1);
    return last?.end === undefined ? last : undefined;
  }

  /** The spot being fished or, between stops, the spot chosen or planned next. */
  get current() {
    const { open, hand } = this;
    const next = hand.coming[0];
    const planned = next === undefined ? undefined : { mark: next.spot.name, side: sideLetter(next.side) };
    const place = open ?? hand.target ?? planned;
    const spot = place === undefined ? undefined : this.planner.spot(place.mark);
    if (place === undefined || spot === undefined) return undefined;
    return { spot, side: sideLetter(sideOf(spot, place.side)), isFishing: open !== undefined };
  }

  get leaveTimes() {
    const { open, hand } = this;
    const { setUp, giveUp, stays } = this.data.options;
    const usualStay = 60 * Number(stays[Math.floor(stays.length / 2)] ?? 30);
    return open === undefined ? undefined : leaveTimes(open, hand, { setUp, giveUp, usualStay });
  }

  /** Time of the check-in, s of the day. */
  get checkIn(): number | undefined {
    return this.data.plan === undefined ? undefined : parseClock(this.data.options.checkIn);
  }

  /**
   * Makes the log for export. An open stop is counted up to now or, if later, up to the time from which the
   * day was last replanned.
   */
  logTable() {
    return logTable(this.stops, Math.max(this.clock.time, this.hand.from ?? 0));
  }

  mark(name: string): EnrichedWaypoint | undefined {
    return this.data.waypoints.find(({ waypoint }) => waypoint.name === name);
  }

  /** Lists further casts to try: the next angles, then the other side. */
  anglesOf({ name, sides }: FishingSpot, side: SideLetter): (string | SideLetter)[] {
    const words = (this.mark(name)?.fields.next_angles ?? '').split(/;\s*/).filter((text) => text !== '');
    const others = sides.map(sideLetter).filter((letter) => letter !== side);
    return [...words, ...others];
  }

  /** Stores a tap, then applies its effect to the current plan. */
  protected async add(
    what: Omit<Entry, 'id'>,
    change: (hand: CurrentPlan, time: number) => CurrentPlan,
  ): Promise<Entry> {
    const entry = await this.put(what);
    this.before = [...this.before, { id: entry.id, hand: this.hand }].slice(-MAX_BACK);
    await this.setHand(change(this.hand, entry.time));
    return entry;
  }

  /** Stores an entry under its id, replacing any earlier version; without an id, as a new entry. */
  protected async put(entry: Omit<Entry, 'id'> & { readonly id?: number }): Promise<Entry> {
    const whole = { ...entry, id: entry.id ?? Math.max(Date.now(), (this.entries.at(-1)?.id ?? 0) + 1) };
    await this.kept.write('entries', whole.id, whole);
    this.entries = [...this.entries.filter(({ id }) => id !== whole.id), whole].sort((a, b) => a.id - b.id);
    return whole;
  }

  protected async forget(id: number): Promise<void> {
    await this.kept.write('entries', id, undefined);
    this.entries = this.entries.filter((entry) => entry.id !== id);
  }

  /** Removes the last entry. @returns False when the plan before that entry is no longer known. */
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

  async setHand(hand: CurrentPlan): Promise<void> {
    this.hand = hand;
    await this.kept.write('state', 'hand', { hand, before: this.before });
  }
}
