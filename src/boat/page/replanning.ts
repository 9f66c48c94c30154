import type { EntryKind } from '../entries.ts';
import { latestArrival, sideOf } from '../hand-plan.ts';
import { changeText } from '../plan-change.ts';
import type { Standing } from '../replan.ts';
import type { DayRecord } from './day-record.ts';
import type { BoatPosition } from './position.ts';

/** Taps after which the rest of the day is planned again. */
const PLANS: readonly EntryKind[] = ['fish', 'leave', 'wish'];

/** s between two plans for being late. */
const LATE_EVERY = 300;

/** Plans the rest of the day anew, when a tap or the clock asks for it. */
export class Replanning {
  /** True while a plan is being made. */
  isUnderWay = false;
  private readonly record: DayRecord;
  private readonly position: BoatPosition;
  private readonly show: () => void;
  private hasPlanned = false;

  constructor(record: DayRecord, position: BoatPosition, show: () => void) {
    this.record = record;
    this.position = position;
    this.show = show;
  }

  /** Plans for taps that were stored before the page was closed, and not planned for. */
  catchUp(): void {
    const { entries, hand } = this.record;
    const planned = hand.plannedTo ?? 0;
    if (entries.some(({ id, kind }) => id > planned && PLANS.includes(kind))) this.request();
  }

  /** Plans after the page has shown what was tapped. */
  request(): void {
    this.isUnderWay = this.record.data.plan !== undefined;
    this.show();
    if (this.isUnderWay) setTimeout(() => this.planNow(), 0);
  }

  /** Plans again when the next stop can no longer be made in time; called by the clock. */
  checkLate(): void {
    const { hand, clock, open } = this.record;
    const next = hand.coming[0];
    if (next === undefined || this.isUnderWay || clock.date !== hand.plan?.date) return;
    const isLate = open === undefined && hand.target === undefined && clock.time > latestArrival(next);
    const isAnswered = (hand.from ?? 0) > clock.time - LATE_EVERY;
    if (isLate && !isAnswered) this.request();
  }

  /**
   * Makes a plan that nobody sees, so that the engine has the code ready.
   *
   * @returns False where that is of no use (any more).
   */
  warmUp(): boolean {
    const isOfUse = this.record.data.plan !== undefined && !this.hasPlanned;
    if (isOfUse) this.record.planner.replan(this.record.entries, this.standing());
    return isOfUse;
  }

  private async planNow(): Promise<void> {
    const { record } = this;
    const standing = this.standing();
    const plannedTo = record.entries.at(-1)?.id;
    const start = performance.now();
    const { plan, problems, command } = record.planner.replan(record.entries, standing);
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
        from: standing.now,
        plannedTo,
        change: text === undefined ? hand.change : { text, before },
      });
    }
    this.show();
  }

  /** From when and where the rest is planned: the end of the open stop, else now; the position, else the last spot. */
  private standing(): Standing {
    const { clock, open, stops, data, planner, leaveTimes } = this.record;
    const now = Math.max(clock.time, leaveTimes?.leave ?? 0);
    const last = open ?? stops.at(-1);
    const spot = last === undefined ? undefined : planner.spot(last.mark);
    const boat = last === undefined || spot === undefined ? undefined : sideOf(spot, last.side);
    const place = open === undefined ? this.position.exactPlace() : undefined;
    const ramp = data.plan?.from ?? { lat: 0, lon: 0 };
    return { date: [data.date, clock.date].sort()[1], now, at: place ?? boat ?? ramp };
  }
}
