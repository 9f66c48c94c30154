import type { CurrentPlan } from '../current-plan.ts';
import type { Entry } from '../entries.ts';
import { Store } from './store.ts';

/** The plan as it was before a tap, so that the tap can be undone. */
export interface Before {
  readonly id: number;
  readonly hand: CurrentPlan;
}

/** The current plan, with the earlier ones that the last taps can be undone to. */
export interface StoredPlan {
  readonly hand: CurrentPlan;
  readonly before: readonly Before[];
}

interface TrackPoint {
  readonly lat: number;
  readonly lon: number;
  /** ms since 1970. */
  readonly time: number;
}

/** The part of a session that the phone stores. If storing fails, the reason is kept and the session goes on. */
export class SessionStore {
  /** Why taps are not being stored; undefined while they are. */
  problem: string | undefined;
  private readonly store: Store | undefined;
  private readonly onProblem: () => void;

  private constructor(store: Store | undefined, onProblem: () => void) {
    this.store = store;
    this.onProblem = onProblem;
    this.problem = store === undefined ? 'the phone does not store anything for this page' : undefined;
  }

  /** @param onProblem Called when something could not be stored. */
  static async open(page: string, onProblem: () => void): Promise<SessionStore> {
    try {
      const store = await Store.open(page);
      void navigator.storage?.persist?.();
      return new SessionStore(store, onProblem);
    } catch {
      return new SessionStore(undefined, onProblem);
    }
  }

  async entries(): Promise<Entry[]> {
    return (await this.store?.all<Entry>('entries')) ?? [];
  }

  hand(): Promise<StoredPlan | undefined> {
    return this.store?.get<StoredPlan>('state', 'hand') ?? Promise.resolve(undefined);
  }

  async track(): Promise<TrackPoint[]> {
    return (await this.store?.all<TrackPoint>('track')) ?? [];
  }

  keepEntry(entry: Entry): Promise<void> {
    return this.trying(() => this.store?.put('entries', entry.id, entry));
  }

  forgetEntry(id: number): Promise<void> {
    return this.trying(() => this.store?.remove('entries', id));
  }

  keepPlan(kept: StoredPlan): Promise<void> {
    return this.trying(() => this.store?.put('state', 'hand', kept));
  }

  keepTrack({ lat, lon, time }: TrackPoint): Promise<void> {
    return this.trying(() => this.store?.put('track', time, { lat, lon, time }));
  }

  private async trying(write: () => Promise<void> | undefined): Promise<void> {
    try {
      await write();
      if (this.store !== undefined) this.problem = undefined;
    } catch (cause) {
      this.problem =
        (cause as Error).name === 'QuotaExceededError'
          ? 'the phone\u2019s storage is full'
          : 'the phone could not store it';
      this.onProblem();
    }
  }
}
