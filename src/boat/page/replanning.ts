import { latestArrival, sideOf } from '../current-plan.ts';
import type { EntryKind } from '../entries.ts';
import { changeText } from '../plan-change.ts';
import type { ReplanStart } from '../replan.ts';
import type { DayRecord } from './day-record.ts';

/** Kinds of taps after which the rest of the day is always replanned. */
const PLANS: readonly EntryKind[] = ['fish', 'leave', 'wish'];

/** Minimum time after any replanning before the day is replanned because it runs late, s. */
const LATE_EVERY = 300;

/** Replans the rest of the day after a tap, or when the clock shows that the plan can no longer be kept. */
export class Replanning {
  isUnderWay = false;
  private readonly record: DayRecord;
  private hasPlanned = false;

  constructor(record: DayRecord) {
    this.record = record;
  }

  /** Replans when the page was closed after a tap, before the plan for that tap was made. */
  catchUp(): void {
    const { entries, hand } = this.record;
    const planned = hand.plannedTo ?? 0;
    if (entries.some(({ id, kind }) => id > planned && PLANS.includes(kind))) this.request();
  }

  /** Shows the tap and then, on a page with a plan, replans. */
  request(): void {
    this.isUnderWay = this.record.data.plan !== undefined;
    this.record.show();
    if (this.isUnderWay) setTimeout(() => this.planNow(), 0);
  }

  /**
   * Replans when, between stops, the latest arrival at the next planned stop has passed, and the user has not
   * chosen another spot.
   */
  checkLate(): void {
    const { hand, clock, open } = this.record;
    const next = hand.coming[0];
    if (next === undefined || this.isUnderWay || clock.date !== hand.plan?.date) return;
    const isLate = open === undefined && hand.target === undefined && clock.time > latestArrival(next);
    const isAnswered = (hand.from ?? 0) > clock.time - LATE_EVERY;
    if (isLate && !isAnswered) this.request();
  }

  /**
   * Makes a plan and discards it, so that the JavaScript engine compiles the code before the first real plan.
   *
   * @returns False when there is no plan to remake, or a real plan has already been made.
   */
  warmUp(): boolean {
    const isOfUse = this.record.data.plan !== undefined && !this.hasPlanned;
    if (isOfUse) this.record.planner.replan(this.record.entries, this.replanStart());
    return isOfUse;
  }

  private async planNow(): Promise<void> {
    const { record } = this;
    const replanStart = this.replanStart();
    const plannedTo = record.entries.at(-1)?.id;
    const start = performance.now();
    const { plan, problems, command } = record.planner.replan(record.entries, replanStart);
    performance.measure('replan', { start });
    this.hasPlanned = true;
    this.isUnderWay = false;
    const { hand } = record;
    if (plan === undefined) await record.setHand({ ...hand, problems });
    else {
      const text = changeText(hand.coming, plan, record.data.units);
      const before = { plan: hand.plan, coming: hand.coming };
      await record.setHand({
        ...hand,
        plan,
        coming: plan.stops,
        command,
        problems,
        from: replanStart.now,
        plannedTo,
        change: text === undefined ? hand.change : { text, before },
      });
    }
    record.show();
  }

  /**
   * Returns when and where the replanned part begins. With an open stop, that is at the end of the stop, at
   * its boat position; otherwise now, at the exact position, else the last stop, else where the day begins.
   */
  private replanStart(): ReplanStart {
    const { clock, open, stops, data, planner, leaveTimes, position } = this.record;
    const now = Math.max(clock.time, leaveTimes?.leave ?? 0);
    const last = open ?? stops.at(-1);
    const spot = last === undefined ? undefined : planner.spot(last.mark);
    const boat = last === undefined || spot === undefined ? undefined : sideOf(spot, last.side);
    const place = open === undefined ? position.exactPlace() : undefined;
    const ramp = data.plan?.from ?? { lat: 0, lon: 0 };
    return { date: [data.date, clock.date].sort()[1], now, at: place ?? boat ?? ramp };
  }
}
