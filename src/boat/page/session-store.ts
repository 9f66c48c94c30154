import { type IDBPDatabase, openDB } from 'idb';
import type { CurrentPlan } from '../current-plan.ts';
import type { Entry } from '../entries.ts';
import type { Position } from './position.ts';

/** The plan as it was before a tap, so that the tap can be undone. */
export interface Before {
  readonly id: number;
  readonly hand: CurrentPlan;
}

/** The current plan, with the earlier ones that the last taps can be undone to. */
interface StoredPlan {
  readonly hand: CurrentPlan;
  readonly before: readonly Before[];
}

/** Place, deg, and time, ms since 1970. */
type TrackPoint = Pick<Position, 'lat' | 'lon' | 'time'>;

const NAME = 'downslope-boat';
const TABLES = ['entries', 'state', 'track'] as const;
type Table = (typeof TABLES)[number];

/**
 * The part of a session that the phone stores in its database. If storing fails, the reason is kept and the session goes
 * on. Keys begin with the page's identity, so that pages of two days that share a database never see each other's data.
 */
export class SessionStore {
  /** Why taps are not being stored; undefined while they are. */
  problem: string | undefined;
  private readonly page: string;
  private readonly database: IDBPDatabase | undefined;
  private readonly onProblem: () => void;

  private constructor(page: string, database: IDBPDatabase | undefined, onProblem: () => void) {
    this.page = page;
    this.database = database;
    this.onProblem = onProblem;
    this.problem = database === undefined ? 'the phone does not store anything for this page' : undefined;
  }

  /** @param onProblem Called when something could not be stored. */
  static async open(page: string, onProblem: () => void): Promise<SessionStore> {
    try {
      const database = await openDB(NAME, 1, {
        upgrade: (fresh) => {
          for (const table of TABLES) fresh.createObjectStore(table);
        },
      });
      void navigator.storage?.persist?.();
      return new SessionStore(page, database, onProblem);
    } catch {
      return new SessionStore(page, undefined, onProblem);
    }
  }

  entries(): Promise<Entry[]> {
    return this.all('entries');
  }

  async hand(): Promise<StoredPlan | undefined> {
    return this.database?.get('state', this.keyOf('hand'));
  }

  track(): Promise<TrackPoint[]> {
    return this.all('track');
  }

  keepEntry(entry: Entry): Promise<void> {
    return this.write('entries', entry.id, entry);
  }

  forgetEntry(id: number): Promise<void> {
    return this.write('entries', id, undefined);
  }

  keepPlan(kept: StoredPlan): Promise<void> {
    return this.write('state', 'hand', kept);
  }

  keepTrack({ lat, lon, time }: TrackPoint): Promise<void> {
    return this.write('track', time, { lat, lon, time });
  }

  /** All values of a table, in key order. */
  private async all<T>(table: Table): Promise<T[]> {
    const keys = IDBKeyRange.bound(`${this.page}/`, `${this.page}/\uffff`);
    return (await this.database?.getAll(table, keys)) ?? [];
  }

  /** Stores a value, or removes it when undefined. Resolves only when the change is on disk or has failed. */
  private async write(table: Table, key: string | number, value: unknown): Promise<void> {
    if (this.database === undefined) return;
    try {
      const { store, done } = this.database.transaction(table, 'readwrite', { durability: 'strict' });
      const at = this.keyOf(key);
      await Promise.all([value === undefined ? store.delete(at) : store.put(value, at), done]);
      this.problem = undefined;
    } catch (cause) {
      this.problem =
        (cause as Error).name === 'QuotaExceededError'
          ? 'the phone\u2019s storage is full'
          : 'the phone could not store it';
      this.onProblem();
    }
  }

  /** Numbers are padded because keys are sorted as text. */
  private keyOf(key: string | number): string {
    return `${this.page}/${typeof key === 'number' ? String(key).padStart(16, '0') : key}`;
  }
}
